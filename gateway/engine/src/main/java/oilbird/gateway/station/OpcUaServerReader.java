package oilbird.gateway.station;

import java.util.Arrays;
import java.util.List;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.YamlMapping;

/** Reads a link that is an OPC UA server: the key {@code opc_ua_server} of a link. */
final class OpcUaServerReader {
    private static final int PORT = 4840;
    private static final String EVERYWHERE = "0.0.0.0";
    private static final List<OpcUaEndpoint.Security> ALL = Arrays.stream(OpcUaEndpoint.Security.values())
            .filter(s -> s != OpcUaEndpoint.Security.NONE)
            .toList();

    private OpcUaServerReader() {}

    /** What the mapping says; every mistake in it is told. */
    static OpcUaServerLinkSettings read(String id, String name, YamlMapping of) {
        List<String> written = of.texts("security");
        List<OpcUaEndpoint.Security> policies =
                ALL.stream().filter(s -> written.contains(s.policy())).toList();
        List<String> modes = of.texts("modes");
        if (!modes.isEmpty() && !modes.contains("sign-and-encrypt")) {
            of.problems()
                    .error(
                            of.valuePosition("modes"),
                            "users sign in with a password, and messages that are only signed can be read on the way",
                            "write [sign-and-encrypt], or [sign-and-encrypt, sign] so that clients can choose");
        }
        String unsecured = of.textOrNull("unsecured");
        boolean anonymous = of.has("anonymous");
        warn(of, unsecured != null, anonymous);
        YamlMapping limits = of.mapping("limits");
        return new OpcUaServerLinkSettings(
                id,
                name,
                of.text("bind", EVERYWHERE),
                (int) of.whole("port", PORT),
                of.texts("hosts"),
                policies.isEmpty() ? ALL : policies,
                modes.contains("sign"),
                unsecured,
                anonymous,
                new OpcUaServerLinkSettings.Limits(
                        (int) limits.whole("sessions", OpcUaServerLinkSettings.Limits.DEFAULT.sessions()),
                        (int) limits.whole("subscriptions", OpcUaServerLinkSettings.Limits.DEFAULT.subscriptions()),
                        (int) limits.whole("items", OpcUaServerLinkSettings.Limits.DEFAULT.items())));
    }

    private static void warn(YamlMapping of, boolean unsecured, boolean anonymous) {
        Problems problems = of.problems();
        boolean here = of.text("bind", EVERYWHERE).startsWith("127.");
        if (unsecured && !here) {
            problems.warning(
                    of.valuePosition("unsecured"),
                    "whoever is on the way can read and change what is sent without security",
                    "leave `unsecured` out, unless the network is closed");
        }
        if (anonymous && !here) {
            problems.warning(
                    of.valuePosition("anonymous"),
                    "whoever reaches the gateway can look at everything that it shows",
                    "leave `anonymous` out, so that clients sign in");
        }
    }
}
