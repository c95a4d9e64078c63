package oilbird.gateway.access;

import org.jspecify.annotations.Nullable;

/**
 * The one table of who may do what, for every door: REST, pages, live channel, and whatever methods and commands of
 * links come to be. What it does not know it refuses.
 *
 * @param roles what each role may do.
 */
public record AccessTable(Roles roles) {
    /** What the table says of one caller and one action. */
    public enum Answer {
        ALLOWED,
        /** Not proved who it is. */
        SIGN_IN_FIRST,
        /** The session was idle: its person signs in again for anything but looking. */
        SIGN_IN_AGAIN,
        FORBIDDEN
    }

    /**
     * @param action null where the door's method names none; that is refused to everybody.
     */
    public Answer answer(Caller caller, @Nullable Action action) {
        if (action == null) {
            return Answer.FORBIDDEN;
        }
        return switch (action.reach()) {
            case ANYBODY -> Answer.ALLOWED;
            case ANY_PERSON -> ofPerson(caller);
            case BY_ROLE -> byRole(caller, action);
        };
    }

    private static Answer ofPerson(Caller caller) {
        if (caller instanceof Caller.Person person) {
            return person.locked() ? Answer.SIGN_IN_AGAIN : Answer.ALLOWED;
        }
        return caller instanceof Caller.Program ? Answer.FORBIDDEN : Answer.SIGN_IN_FIRST;
    }

    private Answer byRole(Caller caller, Action action) {
        if (caller instanceof Caller.Person person) {
            if (!roles.may(person.role(), action)) {
                return Answer.FORBIDDEN;
            }
            return person.locked() && action != Action.VIEW ? Answer.SIGN_IN_AGAIN : Answer.ALLOWED;
        }
        if (caller instanceof Caller.Program program) {
            boolean in = program.scope().contains(action)
                    && Action.grantableToPrograms().contains(action);
            return in ? Answer.ALLOWED : Answer.FORBIDDEN;
        }
        return Answer.SIGN_IN_FIRST;
    }
}
