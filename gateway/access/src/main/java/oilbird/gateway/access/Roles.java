package oilbird.gateway.access;

import java.util.Collections;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;

/**
 * What each role may do. The names of the default roles are those of IEC 62351-8.
 *
 * @param actions by the name of the role.
 */
public record Roles(Map<String, Set<Action>> actions) {
    /** Whoever signs in with the break-glass code; no role map can take anything from it. */
    public static final String BREAK_GLASS = "break-glass";

    /** Where a station folder has no {@code access.yaml}. */
    public static final Roles DEFAULT = byDefault();

    public Roles {
        Map<String, Set<Action>> copy = new LinkedHashMap<>();
        actions.forEach((role, of) -> copy.put(
                role, Collections.unmodifiableSet(of.isEmpty() ? EnumSet.noneOf(Action.class) : EnumSet.copyOf(of))));
        actions = Collections.unmodifiableMap(copy);
    }

    private static Roles byDefault() {
        Set<Action> viewer = EnumSet.of(Action.VIEW);
        Set<Action> operator = EnumSet.of(
                Action.VIEW,
                Action.ACKNOWLEDGE,
                Action.CONFIRM,
                Action.COMMENT,
                Action.SHELVE,
                Action.RESET,
                Action.RELEASE_KEEP_AWAY,
                Action.FIND_FAULTS);
        Set<Action> engineer = EnumSet.copyOf(Action.grantable());
        engineer.removeAll(EnumSet.of(Action.RELEASE_KEEP_AWAY, Action.RELEASE_CONNECTION, Action.MANAGE_USERS));
        Set<Action> installer = EnumSet.copyOf(Action.grantable());
        // Letting people near an asset again is for whoever sees the whole plant.
        installer.remove(Action.RELEASE_KEEP_AWAY);
        Map<String, Set<Action>> all = new LinkedHashMap<>();
        all.put("viewer", viewer);
        all.put("operator", operator);
        all.put("engineer", engineer);
        all.put("installer", installer);
        return new Roles(all);
    }

    public boolean knows(String role) {
        return actions.containsKey(role);
    }

    public boolean may(String role, Action action) {
        return of(role).contains(action);
    }

    /** Nothing for a role that the map does not have. */
    public Set<Action> of(String role) {
        return role.equals(BREAK_GLASS) ? EnumSet.copyOf(Action.grantable()) : actions.getOrDefault(role, Set.of());
    }

    /** The whole map on one line, for the record. */
    public String said() {
        return actions.entrySet().stream()
                .map(e -> e.getKey() + ": "
                        + e.getValue().stream().map(Action::written).collect(Collectors.joining(", ")))
                .collect(Collectors.joining("; "));
    }
}
