package oilbird.gateway.access;

import java.time.Duration;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.SchemaCheck;
import oilbird.mapping.text.YamlDocument;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import oilbird.mapping.text.YamlText;

/**
 * What the owner decides about access: the file {@code access.yaml} of a station folder. It holds no secret.
 *
 * @param idle after so long without an act or a new page only looking is left.
 * @param absolute after so long a session is over.
 * @param shortestPassword characters.
 * @param notice words shown before anybody signs in; empty for none.
 */
public record AccessRules(Roles roles, Duration idle, Duration absolute, int shortestPassword, String notice) {
    public static final String FILE = "access.yaml";

    /** NIST SP 800-63B, 5.1.1.2 (from memory): length counts, composition rules do not. */
    public static final AccessRules DEFAULT =
            new AccessRules(Roles.DEFAULT, Duration.ofMinutes(15), Duration.ofHours(12), 12, "");

    /** Loaded only where there is a file: a start must not wait for it. */
    private static final class Schema {
        private static final SchemaCheck CHECK = SchemaCheck.of("/oilbird/schema/access-1.schema.json");
    }

    /** The rules, or every mistake of the file with its place. */
    public static Loaded<AccessRules> read(String text) {
        Problems problems = new Problems();
        AccessRules rules = YamlDocument.read(FILE, text, problems)
                .map(root -> {
                    Schema.CHECK.check(root);
                    return of(root.asMapping(), problems);
                })
                .orElse(null);
        return problems.loaded(rules);
    }

    private static AccessRules of(YamlMapping root, Problems problems) {
        YamlMapping sessions = root.mapping("sessions");
        Duration idle = sessions.duration("idle", DEFAULT.idle());
        Duration absolute = sessions.duration("absolute", DEFAULT.absolute());
        if (absolute.compareTo(idle) < 0) {
            problems.error(
                    sessions.valuePosition("absolute"),
                    "a session would be over before it is idle",
                    "write an absolute limit that is no shorter than the idle one");
        }
        if (idle.compareTo(Duration.ofMinutes(1)) < 0 || absolute.compareTo(Duration.ofDays(31)) > 0) {
            problems.error(
                    sessions.position(),
                    "the limits of sessions make no sense",
                    "write an idle limit of at least 1 min and an absolute one of at most 31 d");
        }
        return new AccessRules(
                root.has("roles") ? roles(root.mapping("roles"), problems) : Roles.DEFAULT,
                idle,
                absolute,
                (int) root.mapping("passwords").whole("shortest", DEFAULT.shortestPassword()),
                root.text("notice", "").strip());
    }

    /** As the file has it. */
    String written() {
        StringBuilder text = new StringBuilder("access: 1\nroles:\n");
        roles.actions()
                .forEach((role, actions) -> text.append("  ")
                        .append(role)
                        .append(": [")
                        .append(actions.stream().map(Action::written).collect(Collectors.joining(", ")))
                        .append("]\n"));
        text.append("sessions: {idle: ")
                .append(idle.toSeconds())
                .append(" s, absolute: ")
                .append(absolute.toSeconds())
                .append(" s}\npasswords: {shortest: ")
                .append(shortestPassword)
                .append("}\n");
        return notice.isEmpty()
                ? text.toString()
                : text.append("notice: ")
                        .append(YamlText.of(notice))
                        .append('\n')
                        .toString();
    }

    private static Roles roles(YamlMapping map, Problems problems) {
        Map<String, Set<Action>> roles = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : map.entries()) {
            if (entry.key().equals(Roles.BREAK_GLASS)) {
                problems.error(
                        entry.keyPosition(),
                        "`" + Roles.BREAK_GLASS + "` is no role to be given",
                        "delete it: the break-glass account may do everything");
            }
            Set<Action> actions = EnumSet.noneOf(Action.class);
            for (YamlNode item : entry.value().asList().items()) {
                Action.of(item.asText()).ifPresent(actions::add);
            }
            roles.put(entry.key(), actions);
        }
        boolean managed = roles.values().stream().anyMatch(of -> of.contains(Action.MANAGE_USERS));
        if (!managed) {
            problems.error(map.position(), "no role may manage-users", "give it to one role, for example to installer");
        }
        return new Roles(roles);
    }
}
