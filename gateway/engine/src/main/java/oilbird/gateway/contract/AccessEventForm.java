package oilbird.gateway.contract;

/**
 * Somebody signed in, was refused, or changed who may do what: form {@code oilbird.access-event/1}.
 *
 * @param who the user, token or role that it is about; empty where nobody is known.
 * @param address an IP address; empty for a command on the gateway's own machine.
 * @param times how often the same happened; more than 1 where a flood is told as a sum.
 */
public record AccessEventForm(
        String form,
        String station,
        String eventId,
        long position,
        boolean recorded,
        String kind,
        String who,
        ActorForm by,
        String address,
        String text,
        long times,
        String at,
        boolean timeTrusted)
        implements EventForm {
    public static final String FORM = "oilbird.access-event/1";

    @Override
    public String about() {
        return who;
    }
}
