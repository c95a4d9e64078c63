package oilbird.gateway.opcua.server.condition;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.stream.Stream;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.opcua.server.condition.Watcher.Seen;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseDirection;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What conditions say beyond the list of Part 9: words, cautions, keep-away, tests, restarts, areas. */
class ConditionsTest {
    @TempDir
    Path data;

    private Bench bench;
    private Watcher operator;
    private Watcher.Watch watch;

    @BeforeEach
    void start() throws Exception {
        bench = new Bench(data);
        operator = new Watcher(bench, "operator");
        watch = operator.watch();
    }

    @AfterEach
    void end() throws Exception {
        operator.close();
        bench.close();
    }

    private static List<String> texts(Object of) {
        return Stream.of((LocalizedText[]) of).map(LocalizedText::text).toList();
    }

    @Test
    void anEventExplainsItselfWithChecksAndTheirCautions() throws Exception {
        bench.sign("monitor-fault", true);
        Seen seen = watch.next(bench.alarm("monitor-fault"));
        assertThat(seen.text("Message")).startsWith("Transformer 1").contains("shows monitor fault");
        assertThat(seen.text("Call")).isEqualTo("bench technician");
        assertThat(seen.get("TimeToRespond")).isEqualTo(7_200_000.0);
        assertThat(seen.text("Trust")).isNotEmpty();
        List<String> checks = texts(Objects.requireNonNull(seen.get("FirstChecks")));
        assertThat(checks).hasSize(2);
        assertThat(checks.get(0)).contains("On the screen", "Exposure 0", "Caution:");
        assertThat(checks.get(1)).contains("From outside the cabinet", "Exposure 1", "Caution:");
        assertThat(seen.get("ChecksWithdrawn")).isEqualTo(UShort.valueOf(0));
        assertThat(seen.get("Occurrence")).isEqualTo(UInteger.valueOf(1));
        assertThat(seen.get("EventType"))
                .isEqualTo(operator.names.ofType(ConditionKind.INSTRUMENT_DIAGNOSTIC.number()));
        assertThat(seen.get("SourceNode")).isEqualTo(operator.names.ofDevice(Bench.DEVICE));
    }

    @Test
    void theEventIdIsTheOneThatEveryOtherLinkWrites() throws Exception {
        bench.sign("plain", true);
        Seen seen = watch.next(bench.alarm("plain"));
        String text = new String(seen.id().bytesOrEmpty(), StandardCharsets.UTF_8);
        assertThat(text).isEqualTo(seen.get("EventIdText")).startsWith("windlow-gw1.");
        assertThat(bench.engine.record().ofAlarm(bench.alarm("plain"), Long.MAX_VALUE, 1))
                .singleElement()
                .satisfies(
                        recorded -> assertThat(recorded.event().id().toString()).isEqualTo(text));
    }

    /** A keep-away withdraws every check of exposure 1 and above near the asset, on every link. */
    @Test
    void keepAwayWithdrawsChecksHereToo() throws Exception {
        bench.sign("monitor-fault", true);
        assertThat(texts(Objects.requireNonNull(
                        watch.next(bench.alarm("monitor-fault")).get("FirstChecks"))))
                .hasSize(2);
        bench.sign("keep-away", true);
        watch.next(bench.alarm("keep-away"));
        List<Seen> again = watch.refreshed();
        assertThat(again)
                .filteredOn(
                        seen -> operator.condition(bench.alarm("monitor-fault")).equals(seen.conditionOrNull()))
                .singleElement()
                .satisfies(seen -> {
                    assertThat(texts(Objects.requireNonNull(seen.get("FirstChecks"))))
                            .singleElement()
                            .asString()
                            .contains("Exposure 0");
                    assertThat(seen.get("ChecksWithdrawn")).isEqualTo(UShort.valueOf(1));
                    assertThat(texts(Objects.requireNonNull(seen.get("KeepAway"))))
                            .isNotEmpty();
                });
    }

    @Test
    void aPointTestIsMarkedAndItsEndTellsTheTruth() throws Exception {
        AlarmId alarm = bench.alarm("tested");
        bench.engine
                .acts()
                .act(new StationInput.TestAlarm(
                        alarm, true, new Actor("e.engineer", "page"), Duration.ofMinutes(1), bench.clock.now()))
                .get();
        Seen forced = watch.next(alarm);
        assertThat(forced.is("UnderTest")).isTrue();
        assertThat(forced.get("Quality")).isEqualTo(new StatusCode(StatusCodes.Uncertain_SimulatedValue));
        assertThat(forced.is("ActiveState/Id")).isTrue();
        assertThat(forced.is("Retain")).isTrue();
        bench.engine
                .acts()
                .act(new StationInput.EndAlarmTest(alarm, new Actor("e.engineer", "page"), bench.clock.now()))
                .get();
        Seen ended = watch.next(alarm);
        assertThat(ended.is("UnderTest")).isFalse();
        assertThat(ended.is("ActiveState/Id")).isFalse();
        assertThat(ended.is("Retain")).isFalse();
    }

    @Test
    void afterARestartARefreshRepeatsWhatWasSaidBefore() throws Exception {
        AlarmId alarm = bench.alarm("shelved");
        bench.sign("shelved", true);
        Seen raised = watch.next(alarm);
        assertThat(operator.acknowledge(raised, "seen before the restart")).isEqualTo(StatusCode.GOOD);
        watch.next(alarm);
        assertThat(operator.call(
                        operator.condition(alarm), NodeIds.AlarmConditionType_ShelvingState_TimedShelve, 3_600_000.0))
                .isEqualTo(StatusCode.GOOD);
        Seen before = watch.next(alarm);
        operator.close();
        bench.close();
        bench = new Bench(Bench.STATION, data, false);
        operator = new Watcher(bench, "operator");
        watch = operator.watch();
        assertThat(watch.refreshed())
                .filteredOn(seen -> operator.condition(alarm).equals(seen.conditionOrNull()))
                .singleElement()
                .satisfies(after -> {
                    assertThat(after.id()).isEqualTo(before.id());
                    assertThat(after.get("Time")).isEqualTo(before.get("Time"));
                    assertThat(after.text("Comment")).isEqualTo("seen before the restart");
                    assertThat(after.get("ClientUserId")).isEqualTo("operator");
                    assertThat(after.text("ShelvingState/CurrentState")).isEqualTo("TimedShelved");
                    assertThat(after.row()).isEqualTo(before.row());
                });
    }

    @Test
    void aWatchOnAnAssetHearsThatAssetOnly() throws Exception {
        Watcher.Watch first = operator.watch(operator.names.ofAsset("t1"), new ContentFilterElement[0], 100);
        Watcher.Watch second = operator.watch(operator.names.ofAsset("t2"), new ContentFilterElement[0], 100);
        bench.indication("bench-t2", bench.signOf("plain"), true);
        bench.indication("bench-t1", bench.signOf("plain"), true);
        AlarmId one = bench.alarm("bench-t1", "plain");
        AlarmId two = bench.alarm("bench-t2", "plain");
        watch.next(two);
        watch.next(one);
        second.next(seen -> {
            assertThat(seen.conditionOrNull()).isNotEqualTo(operator.condition(one));
            return operator.condition(two).equals(seen.conditionOrNull());
        });
        first.next(seen -> {
            assertThat(seen.conditionOrNull()).isNotEqualTo(operator.condition(two));
            return operator.condition(one).equals(seen.conditionOrNull());
        });
        assertThat(operator.refresh()).isEqualTo(StatusCode.GOOD);
        second.next(seen -> {
            assertThat(seen.conditionOrNull()).isNotEqualTo(operator.condition(one));
            return NodeIds.RefreshEndEventType.equals(seen.get("EventType"));
        });
    }

    @Test
    void manyAcknowledgementsInOneRequestAreAllAnswered() throws Exception {
        List<String> rules = List.of("plain", "plain-two", "plain-three", "quality", "commented");
        List<Seen> raised = new ArrayList<>();
        for (String rule : rules) {
            bench.sign(rule, true);
            raised.add(watch.next(bench.alarm(rule)));
        }
        var requests = raised.stream()
                .map(seen -> new CallMethodRequest(
                        seen.condition(),
                        NodeIds.AcknowledgeableConditionType_Acknowledge,
                        new Variant[] {new Variant(seen.id()), new Variant(LocalizedText.NULL_VALUE)}))
                .toList();
        assertThat(operator.client.call(requests).getResults())
                .hasSize(5)
                .allMatch(result -> result.getStatusCode().isGood());
    }

    @Test
    void wrongArgumentsAndObjectsGetTheirOwnStatus() throws Exception {
        NodeId plain = operator.condition(bench.alarm("plain"));
        NodeId acknowledge = NodeIds.AcknowledgeableConditionType_Acknowledge;
        assertThat(operator.call(plain, acknowledge)).isEqualTo(new StatusCode(StatusCodes.Bad_ArgumentsMissing));
        assertThat(operator.call(plain, acknowledge, ByteString.of(new byte[1]), LocalizedText.NULL_VALUE, 1))
                .isEqualTo(new StatusCode(StatusCodes.Bad_TooManyArguments));
        var wrongType = operator.result(plain, acknowledge, "text", LocalizedText.NULL_VALUE);
        assertThat(wrongType.getStatusCode()).isEqualTo(new StatusCode(StatusCodes.Bad_InvalidArgument));
        assertThat(wrongType.getInputArgumentResults())
                .containsExactly(new StatusCode(StatusCodes.Bad_TypeMismatch), StatusCode.GOOD);
        assertThat(operator.call(
                        operator.condition(new AlarmId("t1", "bench-t1.no-such-rule")),
                        acknowledge,
                        ByteString.of(new byte[1]),
                        LocalizedText.NULL_VALUE))
                .isEqualTo(new StatusCode(StatusCodes.Bad_NodeIdInvalid));
        assertThat(operator.call(
                        plain,
                        NodeIds.AcknowledgeableConditionType_Confirm,
                        ByteString.of(new byte[1]),
                        LocalizedText.NULL_VALUE))
                .isEqualTo(new StatusCode(StatusCodes.Bad_MethodInvalid));
        assertThat(operator.call(plain, NodeIds.AlarmConditionType_Silence))
                .isEqualTo(new StatusCode(StatusCodes.Bad_MethodInvalid));
        assertThat(operator.call(
                        operator.condition(bench.alarm("not-shelved")),
                        NodeIds.AlarmConditionType_ShelvingState_OneShotShelve))
                .isEqualTo(new StatusCode(StatusCodes.Bad_MethodInvalid));
    }

    @Test
    void aConditionIsReadLikeANode() throws Exception {
        AlarmId alarm = bench.alarm("level");
        NodeId id = operator.condition(alarm);
        var attributes = operator.client.read(
                0,
                TimestampsToReturn.Both,
                Stream.of(AttributeId.NodeId, AttributeId.NodeClass, AttributeId.BrowseName, AttributeId.DisplayName)
                        .map(a -> new ReadValueId(id, a.uid(), null, QualifiedName.NULL_VALUE))
                        .toList());
        assertThat(attributes.getResults()).allMatch(v -> v.getStatusCode().isGood());
        assertThat(operator.readPart(alarm, "ActiveState/Id").getValue().value())
                .isEqualTo(false);
        assertThat(operator.readPart(alarm, "NoSuchPart").getStatusCode())
                .isEqualTo(new StatusCode(StatusCodes.Bad_NodeIdUnknown));
        assertThat(operator.client
                        .writeValues(
                                List.of(ConditionNodes.part(id, "ActiveState/Id")),
                                List.of(new DataValue(new Variant(true))))
                        .get(0)
                        .isBad())
                .isTrue();
    }

    /** What a link's filter holds back never changes here, so it is not shown at all. */
    @Test
    void onlyConditionsThatTheLinkLetsThroughAreShown(@TempDir Path folder, @TempDir Path record) throws Exception {
        try (Stream<Path> files = Files.walk(Bench.STATION)) {
            for (Path file : files.filter(Files::isRegularFile).toList()) {
                Path copy = folder.resolve(Bench.STATION.relativize(file));
                Files.createDirectories(Objects.requireNonNull(copy.getParent()));
                Files.copy(file, copy);
            }
        }
        Files.writeString(folder.resolve("station.yaml"), """

                links:
                  - id: room
                    name: control room
                    opc_ua_server: {hosts: [windlow-gw1.fenmarch.example]}
                    only: {classes: [instrument-diagnostic]}
                """, StandardOpenOption.APPEND);
        try (Bench filtered = new Bench(folder, record, true);
                Watcher reader = new Watcher(filtered, "viewer")) {
            var shown = reader.client.browse(new BrowseDescription(
                    reader.names.ofDevice(Bench.DEVICE),
                    BrowseDirection.Forward,
                    NodeIds.HasCondition,
                    true,
                    UInteger.valueOf(0),
                    UInteger.valueOf(63)));
            assertThat(Objects.requireNonNull(shown.getReferences()))
                    .singleElement()
                    .satisfies(reference -> assertThat(reference.getNodeId().getIdentifier())
                            .isEqualTo("alarm/t1/bench-t1.monitor-fault"));
            assertThat(reader.readPart(filtered.alarm("plain"), "ActiveState/Id")
                            .getStatusCode())
                    .isEqualTo(new StatusCode(StatusCodes.Bad_NodeIdUnknown));
        }
    }

    @Test
    void everyStatusThatTheFoldNamesIsOneOfTheStandard() throws Exception {
        // second source of the values: status_codes.csv, made from the OPC Foundation's list
        try (Stream<String> lines = Files.lines(Path.of("src/test/resources/part9/status_codes.csv"))) {
            lines.skip(1).map(line -> line.split(",")).forEach(cells -> {
                try {
                    assertThat(StatusCodes.class
                                    .getField(cells[0].equals("Good") ? "Good" : cells[0])
                                    .getLong(null))
                            .as(cells[0])
                            .isEqualTo(Long.decode(cells[1]));
                } catch (ReflectiveOperationException e) {
                    throw new AssertionError(cells[0], e);
                }
            });
        }
        for (Refusal refusal : Refusal.values()) {
            assertThat(ConditionCalls.status(refusal).isBad()).isTrue();
        }
    }

    @Test
    void eventsNeverRunAheadOfTheirSource() throws UaException, InterruptedException {
        bench.sign("plain", true);
        Seen seen = watch.next(bench.alarm("plain"));
        DateTime time = (DateTime) Objects.requireNonNull(seen.get("Time"));
        DateTime received = (DateTime) Objects.requireNonNull(seen.get("ReceiveTime"));
        assertThat(received.getUtcTime()).isGreaterThanOrEqualTo(time.getUtcTime());
    }
}
