package oilbird.gateway.opcua;

import static org.assertj.core.api.Assertions.assertThat;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;

import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.opcua.MonitorServer.Setup;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What comes of a server's values, and of its losses: right quality each time, recovery, never a wrong value. */
class FollowingTest {
    @TempDir
    Path data;

    private FollowingRig follow(MonitorServer server) throws Exception {
        return new FollowingRig(FollowingRig.plain(server.url()), data);
    }

    private static DataValue value(double value, long status) {
        return new DataValue(new Variant(value), new StatusCode(status), DateTime.now());
    }

    @Test
    void oneAnswerIsOneSnapshotOfAllNodesWithTheirTimes() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = follow(server)) {
            Decoded decoded = rig.awaitWater(0.25);
            assertThat(FollowingRig.reading(decoded, "temperature").number()).isEqualTo(40.5);
            assertThat(FollowingRig.reading(decoded, "serial").text()).isEqualTo("W 0001");
            Reading water = FollowingRig.reading(decoded, "water");
            assertThat(water.origin()).isNotNull();
            assertThat(water.origin().status()).isEqualTo("Good");
            assertThat(water.origin().sourceMillis()).isNotNull();
            assertThat(water.origin().serverMillis()).isNotNull();
            assertThat(FollowingRig.state(decoded, "probe-fault")).isEqualTo(IndicationState.DOES_NOT_HOLD);
            assertThat(rig.poller.status().get(0).condition()).isEqualTo(ServerStatus.Condition.ANSWERING);
            assertThat(String.valueOf(rig.poller.status().get(0).identification()))
                    .isEqualTo("Someone (invented) MTM-2 3.1");
        }
    }

    @Test
    void unchangedValuesAreConfirmedAtEveryPeriod() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = follow(server)) {
            Decoded first = rig.awaitWater(0.25);
            Decoded second = rig.awaitWater(0.25);
            Decoded third = rig.awaitWater(0.25);
            assertThat(second.at().monotonicNanos()).isGreaterThan(first.at().monotonicNanos());
            assertThat(third.at().monotonicNanos()).isGreaterThan(second.at().monotonicNanos());
            assertThat(FollowingRig.reading(third, "water-time").number())
                    .isEqualTo(FollowingRig.reading(first, "water-time").number());
        }
    }

    /** Nothing changes here, not even a time stamp: only the server's keep-alive messages tell that the values stand. */
    @Test
    void keepAlivesConfirmValuesOfWhichNothingElseIsTold() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = new FollowingRig(FollowingRig.plain(server.url()), twoNodes(), data, true)) {
            for (int i = 0; i < 4; i++) {
                rig.awaitWater(0.25);
            }
            assertThat(rig.poller.status().get(0).counts().sessions()).isEqualTo(1);
            assertThat(rig.notices).extracting(n -> n.number()).doesNotContain(2203, 2209);
        }
    }

    @Test
    void aQueueThatOverflowsIsAGapThatIsTold() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig =
                        new FollowingRig(FollowingRig.plain(server.url()), FollowingRig.map("queue: 2"), data, true)) {
            rig.awaitWater(0.25);
            Object pause = new Object();
            for (int i = 1; i <= 40; i++) {
                server.set("Water", i / 64.0);
                synchronized (pause) {
                    pause.wait(25);
                }
            }
            StationInput.Noticed noticed = (StationInput.Noticed) rig.await(StationInput.Noticed.class::isInstance);
            assertThat(noticed.kind()).isEqualTo(StationEvent.Notice.Kind.INPUTS_LOST);
            assertThat(noticed.text()).contains("too short");
            rig.awaitWater(40 / 64.0);
        }
    }

    /** Codes by OPC UA Part 6, Annex A.2. */
    @Test
    void badAndUncertainValuesKeepTheirCodeAndRaiseOrClearNothing() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = follow(server)) {
            rig.awaitWater(0.25);
            server.set("Water", value(0.75, StatusCodes.Uncertain_SensorNotAccurate));
            Reading uncertain = FollowingRig.reading(rig.awaitWater(0.75), "water");
            assertThat(uncertain.reason()).isEqualTo(QualityReason.DECLARED_UNCERTAIN);
            assertThat(uncertain.origin()).isNotNull();
            assertThat(uncertain.origin().status()).isEqualTo("Uncertain_SensorNotAccurate");

            server.set("Water", value(0.99, StatusCodes.Bad_SensorFailure));
            server.set(
                    "Status",
                    new DataValue(
                            new Variant(ushort(0)), new StatusCode(StatusCodes.Bad_NoCommunication), DateTime.now()));
            Decoded bad = rig.awaitObserved(
                    d -> FollowingRig.indication(d, "probe-fault").reason() == QualityReason.DECLARED_BAD
                            && FollowingRig.reading(d, "water").reason() == QualityReason.DECLARED_BAD);
            assertThat(FollowingRig.reading(bad, "water").number()).isNull();
            assertThat(FollowingRig.state(bad, "probe-fault")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
            assertThat(FollowingRig.reading(bad, "temperature").reason()).isEqualTo(QualityReason.NONE);

            server.set(
                    "Status",
                    new DataValue(
                            new Variant(ushort(1)),
                            new StatusCode(StatusCodes.Uncertain_LastUsableValue),
                            DateTime.now()));
            server.set("Water", 0.3);
            Decoded doubtful = rig.awaitObserved(d -> FollowingRig.state(d, "probe-fault") == IndicationState.HOLDS);
            assertThat(FollowingRig.indication(doubtful, "heater-off").reason())
                    .isEqualTo(QualityReason.DECLARED_UNCERTAIN);
            rig.awaitWater(0.3);
            assertThat(rig.numbers("water")).containsOnly(0.25, 0.75, 0.3);
        }
    }

    @Test
    void aBitThatComesAndGoesBetweenTwoAnswersIsSeen() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = follow(server)) {
            rig.awaitWater(0.25);
            Object pause = new Object();
            // The server looks every 20 ms and answers every 200 ms.
            for (int i = 0; i < 3; i++) {
                server.set("Status", ushort(1));
                synchronized (pause) {
                    pause.wait(45);
                }
                server.set("Status", ushort(0));
                synchronized (pause) {
                    pause.wait(45);
                }
            }
            rig.awaitObserved(d -> FollowingRig.state(d, "probe-fault") == IndicationState.HOLDS);
            Decoded after =
                    rig.awaitObserved(d -> FollowingRig.state(d, "probe-fault") == IndicationState.DOES_NOT_HOLD);
            assertThat(after.words()).extracting(w -> w.bits()).containsExactly(0L);
        }
    }

    @Test
    void aServerThatRestartsIsLostAndComesBackWithItsNewValues() throws Exception {
        int port = MonitorServer.freePort();
        MonitorServer before = new MonitorServer(Setup.plain(), port);
        try (FollowingRig rig = follow(before)) {
            rig.awaitWater(0.25);
            before.close();
            assertThat(rig.awaitFailure(QualityReason.UNREACHABLE).block()).isEqualTo("status.subscribed");
            int seen = rig.numbers("water").size();
            rig.awaitFailure(QualityReason.UNREACHABLE);
            rig.awaitFailure(QualityReason.UNREACHABLE);
            assertThat(rig.numbers("water")).hasSize(seen);
            assertThat(rig.poller.status().get(0).condition()).isEqualTo(ServerStatus.Condition.FAILING);
            try (MonitorServer after = new MonitorServer(Setup.plain(), port)) {
                after.set("Water", 0.625);
                rig.awaitWater(0.625);
                assertThat(rig.notices).extracting(n -> n.number()).contains(2203);
                assertThat(rig.notices.get(rig.notices.size() - 1).toString()).contains("GW-2201", "answers again");
            }
        }
    }

    @Test
    void aDroppedSessionIsAGapThatIsToldAndThenTheValuesAreThoseOfNow() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = follow(server)) {
            rig.awaitWater(0.25);
            server.dropSessions();
            server.set("Water", 0.875);
            rig.awaitFailure(QualityReason.UNREACHABLE);
            rig.awaitWater(0.875);
            server.set("Water", 0.5);
            rig.awaitWater(0.5);
            assertThat(rig.poller.status().get(0).counts().sessions()).isEqualTo(2);
        }
    }

    @Test
    void aNodeKeepsItsNameWhenTheIndexOfItsNamespaceMoves() throws Exception {
        int port = MonitorServer.freePort();
        MonitorServer before = new MonitorServer(Setup.plain(), port);
        int index = before.index();
        try (FollowingRig rig = follow(before)) {
            rig.awaitWater(0.25);
            before.close();
            rig.awaitFailure(QualityReason.UNREACHABLE);
            Setup moved = Setup.plain().withNamespacesBefore("urn:new:one", "urn:new:two");
            try (MonitorServer after = new MonitorServer(moved, port)) {
                assertThat(after.index()).isGreaterThan(index);
                after.set("Water", 0.125);
                rig.awaitWater(0.125);
            }
        }
    }

    @Test
    void aServerWithoutSubscriptionsIsReadInstead() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain().withoutSubscriptions());
                FollowingRig rig = follow(server)) {
            rig.awaitWater(0.25);
            rig.awaitNotice(2209);
            server.set("Water", 0.5);
            rig.awaitWater(0.5);
            server.dropSessions();
            rig.awaitFailure(QualityReason.UNREACHABLE);
            rig.awaitWater(0.5);
        }
    }

    @Test
    void aServerThatFallsSilentWithTheConnectionOpenIsLost() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                MutedLine line = new MutedLine(server.port())) {
            String url = "opc.tcp://127.0.0.1:" + line.port() + "/monitor";
            try (FollowingRig rig = new FollowingRig(FollowingRig.plain(url), data)) {
                rig.awaitWater(0.25);
                line.mute();
                rig.awaitFailure(QualityReason.UNREACHABLE);
                int seen = rig.numbers("water").size();
                server.set("Water", 0.75);
                rig.awaitFailure(QualityReason.UNREACHABLE);
                assertThat(rig.numbers("water")).hasSize(seen);
                line.unmute();
                rig.awaitWater(0.75);
            }
        }
    }

    @Test
    void aNodeThatIsNotThereIsToldAndTheOthersAreFollowed() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = new FollowingRig(FollowingRig.plain(server.url()), withStranger(), data, true)) {
            Decoded decoded = rig.awaitWater(0.25);
            Reading missing = FollowingRig.reading(decoded, "missing");
            assertThat(missing.reason()).isEqualTo(QualityReason.REFUSED_BY_DEVICE);
            assertThat(missing.origin()).isNotNull();
            assertThat(missing.origin().status()).isEqualTo("Bad_NodeIdUnknown");
            assertThat(FollowingRig.reading(decoded, "elsewhere").reason()).isEqualTo(QualityReason.REFUSED_BY_DEVICE);
            rig.awaitNotice(2205);
        }
    }

    private static DeviceMap twoNodes() {
        return MapReader.read("m.yaml", """
                        device_map: 1
                        name: m
                        text: monitor
                        opc_ua: {namespaces: {m: "urn:windlow:test-monitor"}}
                        poll_classes: {status: 200 ms}
                        points: {water: {text: water, node: m:s=Water}, heat: {text: heat, node: m:s=Temperature}}
                        """).result().orElseThrow();
    }

    private static DeviceMap withStranger() {
        return MapReader.read("m.yaml", """
                        device_map: 1
                        name: m
                        text: monitor
                        opc_ua: {namespaces: {m: "urn:windlow:test-monitor", n: "urn:not:there"}}
                        poll_classes: {status: 200 ms}
                        points:
                          water: {text: water, node: m:s=Water}
                          missing: {text: missing, node: m:s=Missing}
                          elsewhere: {text: elsewhere, node: n:s=Water}
                        """).result().orElseThrow();
    }

    @Test
    void anotherProductIsNotFollowed() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain().withProduct("BMX-9", "3.1"));
                FollowingRig rig = follow(server)) {
            StationInput.RequestFailed failed = rig.awaitFailure(QualityReason.OTHER_PRODUCT);
            assertThat(failed.detail()).contains("BMX-9", "MTM-2");
            rig.awaitNotice(2206);
            assertThat(rig.numbers("water")).isEmpty();
        }
    }

    @Test
    void anotherFirmwareMakesValuesUncertainAndClearsNothing() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain().withProduct("MTM-2", "4.0"));
                FollowingRig rig = follow(server)) {
            StationInput.Noticed noticed = (StationInput.Noticed) rig.await(StationInput.Noticed.class::isInstance);
            assertThat(noticed.kind()).isEqualTo(StationEvent.Notice.Kind.OTHER_FIRMWARE);
            Decoded decoded = rig.awaitWater(0.25);
            assertThat(FollowingRig.reading(decoded, "water").reason()).isEqualTo(QualityReason.OTHER_FIRMWARE);
            assertThat(FollowingRig.state(decoded, "probe-fault")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        }
    }

    @Test
    void closingEndsTheSessionAtTheServer() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain())) {
            FollowingRig rig = follow(server);
            rig.awaitWater(0.25);
            assertThat(server.sessions()).isEqualTo(1);
            rig.close();
            // Long before the server would give the session up by itself.
            long deadline = System.nanoTime() + TimeUnit.SECONDS.toNanos(30);
            Object pause = new Object();
            while (server.sessions() > 0 && System.nanoTime() < deadline) {
                synchronized (pause) {
                    pause.wait(5);
                }
            }
            assertThat(server.sessions()).isZero();
            assertThat(List.copyOf(rig.all)).doesNotHaveAnyElementsOfTypes(StationInput.RequestFailed.class);
        }
    }
}
