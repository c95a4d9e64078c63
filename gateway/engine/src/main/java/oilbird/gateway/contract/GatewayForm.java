package oilbird.gateway.contract;

/**
 * The gateway's sign of life on a link: form {@code oilbird.gateway/1}.
 *
 * @param online true from the moment the link is up; false in the last will, which the other side announces
 *     when the connection breaks, and at an orderly end.
 * @param at when the link came up.
 */
public record GatewayForm(String form, String station, String gateway, boolean online, String at, boolean timeTrusted) {
    public static final String FORM = "oilbird.gateway/1";
}
