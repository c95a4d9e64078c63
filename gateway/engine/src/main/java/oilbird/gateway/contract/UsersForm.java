package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** Users, roles and tokens, without anything secret: form {@code oilbird.users/1}. */
public record UsersForm(
        String form,
        String station,
        List<UserForm> users,
        List<TokenForm> tokens,
        List<RoleForm> roles,
        BreakGlassForm breakGlass) {
    public static final String FORM = "oilbird.users/1";

    /**
     * A person's account.
     *
     * @param sessions how many are open now.
     */
    public record UserForm(String name, String role, String since, long sessions) {}

    /**
     * A program's account.
     *
     * @param scope actions as written in role maps.
     */
    public record TokenForm(String name, List<String> scope, String since, String expires) {
        public TokenForm {
            scope = List.copyOf(scope);
        }
    }

    /** What a role may do. */
    public record RoleForm(String role, List<String> may) {
        public RoleForm {
            may = List.copyOf(may);
        }
    }

    /**
     * The code for when nobody with an account is there.
     *
     * @param state {@code none}, {@code ready} or {@code spent}.
     * @param since when it became so; absent for none.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record BreakGlassForm(String state, @Nullable String since) {}

    public UsersForm {
        users = List.copyOf(users);
        tokens = List.copyOf(tokens);
        roles = List.copyOf(roles);
    }
}
