package oilbird.gateway.contract;

/**
 * A sign of life on the live channel: form {@code oilbird.alive/1}.
 *
 * @param newestEvent position of the newest announced event.
 */
public record AliveForm(String form, String at, boolean timeTrusted, long newestEvent) {
    public static final String FORM = "oilbird.alive/1";
}
