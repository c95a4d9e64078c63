package oilbird.gateway.access;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/** What can be done over any door, in the words of the role map. */
public enum Action {
    /** Sign in, sign out, ask who one is; make the first user with the set-up code. */
    SIGN_IN(Reach.ANYBODY),
    /** Change one's own password. */
    OWN_PASSWORD(Reach.ANY_PERSON),
    /** See alarms, readings, the event record and the live channel. */
    VIEW(Reach.BY_ROLE),
    /** See who signed in, who was refused and what was changed in access. */
    SEE_ACCESS(Reach.BY_ROLE),
    ACKNOWLEDGE(Reach.BY_ROLE),
    /** Confirm that what an acknowledged alarm called for has been done. */
    CONFIRM(Reach.BY_ROLE),
    COMMENT(Reach.BY_ROLE),
    SHELVE(Reach.BY_ROLE),
    /** Reset the latch of an alarm. */
    RESET(Reach.BY_ROLE),
    /** Suppress an alarm from outside and lift its suppression. */
    SUPPRESS(Reach.BY_ROLE),
    /** Take one alarm out of service and place it in service again. */
    TAKE_OUT_OF_SERVICE(Reach.BY_ROLE),
    /** Disable an alarm and enable it again. */
    DISABLE(Reach.BY_ROLE),
    /** Put a device or asset in maintenance, and end it. */
    MAINTAIN(Reach.BY_ROLE),
    /** Force outgoing points. */
    TEST_POINTS(Reach.BY_ROLE),
    /** Leave the connection of a device to somebody else. */
    RELEASE_CONNECTION(Reach.BY_ROLE),
    /** Let people near an asset again, for the control room. */
    RELEASE_KEEP_AWAY(Reach.BY_ROLE),
    ENTER_SAMPLES(Reach.BY_ROLE),
    LOAD_RULES(Reach.BY_ROLE),
    /** Guided fault-finding. */
    FIND_FAULTS(Reach.BY_ROLE),
    /** See users and tokens, and end other people's sessions. */
    MANAGE_USERS(Reach.BY_ROLE);

    enum Reach {
        ANYBODY,
        /** Any signed-in person, and no program. */
        ANY_PERSON,
        /** A person whose role has it, a program whose scope has it. */
        BY_ROLE
    }

    private final Reach reach;

    Action(Reach reach) {
        this.reach = reach;
    }

    Reach reach() {
        return reach;
    }

    /** Name as written in role maps and scopes: {@code release-keep-away}. */
    public String written() {
        return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    public static Optional<Action> of(String written) {
        return grantable().stream().filter(a -> a.written().equals(written)).findFirst();
    }

    /** Those that a role can have. */
    public static List<Action> grantable() {
        return Arrays.stream(values()).filter(a -> a.reach == Reach.BY_ROLE).toList();
    }

    /** Those that a token can have: no program manages users. */
    public static List<Action> grantableToPrograms() {
        return grantable().stream().filter(a -> a != MANAGE_USERS).toList();
    }
}
