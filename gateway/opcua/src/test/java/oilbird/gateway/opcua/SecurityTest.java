package oilbird.gateway.opcua;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.OpcUaEndpoint.Security;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import java.nio.file.Files;
import java.util.Set;

/** Sessions by the security policies of OPC UA Part 7, 6.6, against a server of the test's own. */
class SecurityTest {
    @TempDir
    Path data;

    @ParameterizedTest
    @CsvSource({
        "BASIC256SHA256, true",
        "AES128_SHA256_RSAOAEP, true",
        "AES256_SHA256_RSAPSS, true",
        "BASIC256SHA256, false",
        "NONE, false"
    })
    void valuesComeUnderEachSecurityPolicy(Security security, boolean encrypted) throws Exception {
        SecurityPolicy policy = SecurityPolicy.fromUri(
                "http://opcfoundation.org/UA/SecurityPolicy#" + security.policy());
        MonitorServer.Setup setup = MonitorServer.Setup.plain()
                .with(Set.of(policy), encrypted ? MessageSecurityMode.SignAndEncrypt : MessageSecurityMode.Sign);
        try (MonitorServer server = new MonitorServer(setup)) {
            server.trust(FollowingRig.own(data));
            Files.createDirectories(data.resolve("opc-ua/trusted"));
            Files.write(data.resolve("opc-ua/trusted/monitor.der"), server.certificate().getEncoded());
            OpcUaEndpoint.UserName user = new OpcUaEndpoint.UserName(
                    MonitorServer.USER, new OpcUaEndpoint.Secret.InEnvironment("MTM_PASSWORD"));
            try (FollowingRig rig =
                    new FollowingRig(FollowingRig.endpoint(server.url(), security, encrypted, user), data)) {
                rig.awaitWater(0.25);
                server.set("Water", 0.5);
                rig.awaitWater(0.5);
                assertThat(rig.numbers("water")).containsOnly(0.25, 0.5);
            }
        }
    }
}
