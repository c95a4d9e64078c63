package oilbird.gateway.access;

/** The code for when nobody with an account is there. */
public final class BreakGlassCode {
    private BreakGlassCode() {}

    /** A new one: 25 letters and digits to be copied by hand. */
    public static String make() {
        return Secrets.code();
    }
}
