package oilbird.gateway.station;

import java.time.Duration;
import java.util.regex.Pattern;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.YamlMapping;

/** Reads where a device answers as an OPC UA server: the key {@code opc_ua} of a device. */
final class OpcUaReader {
    private static final Pattern URL =
            Pattern.compile("opc\\.tcp://(\\[[0-9a-fA-F:]+\\]|[^/:\\s\\[\\]]+)(:[0-9]{1,5})?(/\\S*)?");

    private OpcUaReader() {}

    /** What the mapping says; every mistake in it is told. */
    static OpcUaEndpoint read(YamlMapping of) {
        Problems problems = of.problems();
        String url = of.text("endpoint");
        if (of.has("endpoint")
                && !problems.isMisshapen(of.valuePosition("endpoint"))
                && !URL.matcher(url).matches()) {
            problems.error(
                    of.valuePosition("endpoint"),
                    "`" + url + "` is not the address of an OPC UA server over TCP",
                    "write opc.tcp://host:port/path");
        }
        OpcUaEndpoint.Security security = security(of.text("security"));
        if (of.has("mode") && security == OpcUaEndpoint.Security.NONE) {
            problems.error(
                    of.keyPosition("mode"),
                    "without security nothing is signed or encrypted",
                    "delete mode, or choose a security policy");
        }
        OpcUaEndpoint.Identity identity = identity(of, problems);
        if (security == OpcUaEndpoint.Security.NONE && identity instanceof OpcUaEndpoint.UserName) {
            problems.warning(
                    of.valuePosition("security"),
                    "without security the password may go over the wire for all to read",
                    "choose a security policy that the device offers");
        }
        return new OpcUaEndpoint(
                url,
                security,
                !of.text("mode", "sign-and-encrypt").equals("sign"),
                identity,
                of.duration("deadline", Duration.ofSeconds(2)));
    }

    private static OpcUaEndpoint.Security security(String written) {
        for (OpcUaEndpoint.Security security : OpcUaEndpoint.Security.values()) {
            if (security.policy().equalsIgnoreCase(written)) {
                return security;
            }
        }
        // The schema check has told it.
        return OpcUaEndpoint.Security.BASIC256SHA256;
    }

    private static OpcUaEndpoint.Identity identity(YamlMapping of, Problems problems) {
        if (!of.has("user")) {
            return new OpcUaEndpoint.Anonymous();
        }
        YamlMapping user = of.mapping("user");
        if (user.has("name") == user.has("certificate")) {
            user.error(
                    user.has("name")
                            ? "a user has a name and password or a certificate, not both"
                            : "nothing says who the user is",
                    "give name: and password:, or certificate:");
            return new OpcUaEndpoint.Anonymous();
        }
        if (user.has("certificate")) {
            YamlMapping certificate = user.mapping("certificate");
            if (user.has("password")) {
                problems.error(
                        user.keyPosition("password"),
                        "the password of a certificate's file belongs to the certificate",
                        "move it under certificate:");
            }
            return new OpcUaEndpoint.UserCertificate(
                    certificate.text("file"),
                    certificate.has("password") ? SecretReader.read(certificate, "password") : null);
        }
        SecretSource password = SecretReader.read(user, "password");
        return password == null
                ? new OpcUaEndpoint.Anonymous()
                : new OpcUaEndpoint.UserName(user.text("name"), password);
    }
}
