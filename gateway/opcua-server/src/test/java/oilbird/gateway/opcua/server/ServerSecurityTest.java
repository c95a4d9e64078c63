package oilbird.gateway.opcua.server;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.gateway.access.Accounts;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Tokens;
import oilbird.gateway.opcua.trust.TrustFolder;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import org.eclipse.milo.opcua.sdk.client.DiscoveryClient;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.identity.AnonymousProvider;
import org.eclipse.milo.opcua.sdk.client.identity.IdentityProvider;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.enumerated.UserTokenType;
import org.eclipse.milo.opcua.stack.core.types.structured.EndpointDescription;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * Who gets in and for how long. Policies by OPC UA Part 7, 6.6; certificates by Part 4, 6.1.3. The client is the
 * library's own, over a real connection.
 */
class ServerSecurityTest {
    @TempDir
    Path data;

    private static OpcUaServerLinkSettings secured() throws Exception {
        return ServerRig.settings(ServerRig.freePort(), null, false, OpcUaServerLinkSettings.Limits.DEFAULT);
    }

    private static OpcUaClient connect(
            ServerRig rig, ClientKeys keys, SecurityPolicy policy, MessageSecurityMode mode, IdentityProvider as)
            throws Exception {
        return rig.client(policy, mode, as, keys::into);
    }

    private static @Nullable Object state(OpcUaClient client) throws Exception {
        return client.readValue(0, TimestampsToReturn.Both, NodeIds.Server_ServerStatus_State)
                .value()
                .value();
    }

    private static List<EndpointDescription> offered(ServerRig rig) throws Exception {
        return DiscoveryClient.getEndpoints(rig.url()).get();
    }

    @Test
    void aTrustedClientWithAUserIsLetInUnderEachPolicyAndModeAndNoDeprecatedOneIsOffered() throws Exception {
        ClientKeys keys = ClientKeys.make();
        keys.trustedBy(data);
        try (ServerRig rig = new ServerRig(data, secured())) {
            for (SecurityPolicy policy : List.of(
                    SecurityPolicy.Basic256Sha256,
                    SecurityPolicy.Aes128_Sha256_RsaOaep,
                    SecurityPolicy.Aes256_Sha256_RsaPss)) {
                for (MessageSecurityMode mode : List.of(MessageSecurityMode.Sign, MessageSecurityMode.SignAndEncrypt)) {
                    OpcUaClient client = connect(
                            rig, keys, policy, mode, new UsernameProvider(ServerRig.VIEWER, ServerRig.PASSWORD));
                    assertThat(state(client)).as(policy + " " + mode).isEqualTo(0);
                    client.disconnect();
                }
            }
            assertThat(offered(rig))
                    .filteredOn(e -> !String.valueOf(e.getEndpointUrl()).endsWith("/discovery"))
                    .isNotEmpty()
                    .allSatisfy(e -> {
                        // Part 7: Basic128Rsa15 and Basic256 are deprecated since 1.04.
                        assertThat(SecurityPolicy.fromUri(e.getSecurityPolicyUri()))
                                .isIn(
                                        SecurityPolicy.Basic256Sha256,
                                        SecurityPolicy.Aes128_Sha256_RsaOaep,
                                        SecurityPolicy.Aes256_Sha256_RsaPss);
                        assertThat(Arrays.stream(e.getUserIdentityTokens()).map(t -> t.getTokenType()))
                                .containsExactly(UserTokenType.UserName);
                    });
        }
    }

    @Test
    void aClientThatNobodyTrustsIsTurnedAwayAndItsCertificateSetAsideUntilAPersonAcceptsIt() throws Exception {
        ClientKeys keys = ClientKeys.make();
        try (ServerRig rig = new ServerRig(data, secured())) {
            UsernameProvider user = new UsernameProvider(ServerRig.VIEWER, ServerRig.PASSWORD);
            assertThatThrownBy(() ->
                            connect(rig, keys, SecurityPolicy.Basic256Sha256, MessageSecurityMode.SignAndEncrypt, user))
                    .hasStackTraceContaining("Bad_SecurityChecksFailed");
            TrustFolder folder = new TrustFolder(data.resolve(OpcUaServerLink.FOLDER));
            assertThat(folder.held(TrustFolder.Kind.REJECTED))
                    .extracting(TrustFolder.Held::certificate)
                    .containsExactly(keys.certificate());
            assertThat(folder.accept(TrustFolder.thumbprint(keys.certificate())))
                    .isPresent();
            OpcUaClient client =
                    connect(rig, keys, SecurityPolicy.Basic256Sha256, MessageSecurityMode.SignAndEncrypt, user);
            assertThat(state(client)).isEqualTo(0);
            client.disconnect();
        }
    }

    @Test
    void aCertificateThatIsOverIsRefused() throws Exception {
        ClientKeys keys = ClientKeys.make(Instant.now().minusSeconds(3_600));
        keys.trustedBy(data);
        try (ServerRig rig = new ServerRig(data, secured())) {
            assertThatThrownBy(() -> connect(
                            rig,
                            keys,
                            SecurityPolicy.Basic256Sha256,
                            MessageSecurityMode.SignAndEncrypt,
                            new UsernameProvider(ServerRig.VIEWER, ServerRig.PASSWORD)))
                    .hasStackTraceContaining("Bad_");
        }
    }

    @Test
    void withoutSecurityOnlyDiscoveryIsAnsweredUnlessTheStationFileSaysSo() throws Exception {
        try (ServerRig rig = new ServerRig(data, secured())) {
            assertThat(offered(rig))
                    .allMatch(e -> !SecurityPolicy.None.getUri().equals(e.getSecurityPolicyUri())
                            || String.valueOf(e.getEndpointUrl()).endsWith("/discovery"));
            EndpointDescription discovery = offered(rig).get(0);
            EndpointDescription forged = new EndpointDescription(
                    rig.url(),
                    discovery.getServer(),
                    discovery.getServerCertificate(),
                    MessageSecurityMode.None,
                    SecurityPolicy.None.getUri(),
                    discovery.getUserIdentityTokens(),
                    discovery.getTransportProfileUri(),
                    discovery.getSecurityLevel());
            OpcUaClient client = OpcUaClient.create(org.eclipse.milo.opcua.sdk.client.OpcUaClientConfig.builder()
                    .setEndpoint(forged)
                    .setSessionEndpointValidationEnabled(false)
                    .setIdentityProvider(new UsernameProvider(ServerRig.VIEWER, ServerRig.PASSWORD))
                    .build());
            assertThatThrownBy(client::connect).isInstanceOf(UaException.class);
            client.disconnectAsync();
        }
    }

    @Test
    void aWrongPasswordIsRefusedRecordedAndLimitedAndNobodyIsLetInAnonymously() throws Exception {
        try (ServerRig rig = new ServerRig(
                data,
                ServerRig.settings(
                        ServerRig.freePort(),
                        "closed network of a test",
                        false,
                        OpcUaServerLinkSettings.Limits.DEFAULT))) {
            assertThatThrownBy(() -> rig.client(
                            SecurityPolicy.None, MessageSecurityMode.None, AnonymousProvider.INSTANCE, c -> {}))
                    .isInstanceOf(UaException.class);
            for (int i = 0; i < 6; i++) {
                assertThatThrownBy(() -> rig.client(
                                SecurityPolicy.None,
                                MessageSecurityMode.None,
                                new UsernameProvider(ServerRig.VIEWER, "not the password"),
                                c -> {}))
                        .hasStackTraceContaining("Bad_UserAccessDenied");
            }
            await().untilAsserted(() -> {
                rig.access.refresh();
                assertThat(rig.told)
                        .anyMatch(t -> t.kind() == Kind.SIGN_IN_REFUSED
                                && t.about().equals(ServerRig.VIEWER)
                                && t.address().equals("127.0.0.1"));
            });
            assertThatThrownBy(() -> rig.as(ServerRig.VIEWER))
                    .as("the right password too, for a while, from where the wrong ones came")
                    .hasStackTraceContaining("Bad_UserAccessDenied");
            rig.as(ServerRig.OPERATOR).disconnect();
        }
    }

    @Test
    void aSessionEndsWithTheAccountItsRoleOrItsPassword() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            List<Accounts.Outcome> changes = new java.util.ArrayList<>();
            OpcUaClient removed = rig.as(ServerRig.VIEWER);
            changes.add(rig.store.change(a -> a.remove(ServerRig.VIEWER, ServerRig.hand())));
            awaitOver(rig, ServerRig.VIEWER);
            OpcUaClient lowered = rig.as(ServerRig.OPERATOR);
            changes.add(rig.store.change(a -> a.role(ServerRig.OPERATOR, "viewer", ServerRig.hand())));
            awaitOver(rig, ServerRig.OPERATOR);
            assertThat(changes).allMatch(Accounts.Outcome.Done.class::isInstance);
            await().until(() -> rig.told.stream()
                            .filter(t -> t.kind() == Kind.SESSION_ENDED)
                            .count()
                    == 2);
            removed.disconnectAsync();
            lowered.disconnectAsync();
        }
    }

    /** The client of a user whose session was ended comes back by itself, and is refused or has its new rights. */
    private static void awaitOver(ServerRig rig, String user) {
        await().atMost(Duration.ofSeconds(20)).until(() -> {
            rig.access.refresh();
            return rig.told.stream()
                    .anyMatch(t -> t.kind() == Kind.SESSION_ENDED && t.about().equals(user));
        });
    }

    @Test
    void aProgramComesInWithItsTokenAsPassword() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            Tokens.Made made = Tokens.make(
                    "room-1",
                    Set.of(Action.VIEW, Action.ACKNOWLEDGE),
                    Instant.now(),
                    Instant.now().plusSeconds(3_600));
            rig.store.change(a -> a.addToken(made.token(), ServerRig.hand()));
            rig.access.refresh();
            OpcUaClient client = rig.client(
                    SecurityPolicy.None,
                    MessageSecurityMode.None,
                    new UsernameProvider("room-1", made.text()),
                    c -> {});
            assertThat(state(client)).isEqualTo(0);
            client.disconnect();
            assertThatThrownBy(() -> rig.client(
                            SecurityPolicy.None,
                            MessageSecurityMode.None,
                            new UsernameProvider("room-1", made.text() + "x"),
                            c -> {}))
                    .hasStackTraceContaining("Bad_UserAccessDenied");
        }
    }

    @Test
    void aTokenThatMayNotLookIsNotLetIn() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            Tokens.Made made = Tokens.make(
                    "blind",
                    Set.of(Action.ACKNOWLEDGE),
                    Instant.now(),
                    Instant.now().plusSeconds(3_600));
            rig.store.change(a -> a.addToken(made.token(), ServerRig.hand()));
            rig.access.refresh();
            assertThatThrownBy(() -> rig.client(
                            SecurityPolicy.None,
                            MessageSecurityMode.None,
                            new UsernameProvider("blind", made.text()),
                            c -> {}))
                    .hasStackTraceContaining("Bad_UserAccessDenied");
        }
    }

    @Test
    void theServersKeyIsForItsOwnerOnlyAndItsCertificateNamesTheHosts() throws Exception {
        try (ServerRig rig = new ServerRig(data, secured())) {
            Path key = data.resolve(OpcUaServerLink.FOLDER).resolve("own.p12");
            assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(key)))
                    .isEqualTo("rw-------");
            var certificate = org.eclipse.milo.opcua.stack.core.util.CertificateUtil.decodeCertificate(
                    offered(rig).get(0).getServerCertificate().bytesOrEmpty());
            // RFC 5280, 4.2.1.6: general names of type 7 are IP addresses, of type 6 URIs.
            assertThat(certificate.getSubjectAlternativeNames().stream().map(n -> n.get(0) + " " + n.get(1)))
                    .contains("7 127.0.0.1", "6 urn:oilbird:gateway:windlow-gw1:server");
        }
        try (Stream<Path> files = Files.list(data.resolve(OpcUaServerLink.FOLDER))) {
            assertThat(files.map(f -> f.getFileName().toString()))
                    .contains("own.der", "own.p12", "trusted", "rejected", "issuers", "revoked");
        }
    }
}
