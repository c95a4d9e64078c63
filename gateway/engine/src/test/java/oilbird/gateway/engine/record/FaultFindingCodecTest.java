package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.stream.Stream;
import oilbird.alarm.check.Assessment;
import oilbird.alarm.check.GuidedEvent;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Inference;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.DeviceSeen;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.Verdict;
import oilbird.mapping.signal.Work;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

class FaultFindingCodecTest {
    private static final GuidedInput.Entry ENTRY =
            new GuidedInput.Entry("k-1", new Actor("A. \"Ner\"", "page"), Samples.NOON, 4, 1_772_366_000_000L);
    private static final Sign FAN = Sign.of(new SignalId("gas-1", "fan-stopped"));
    private static final Sign HYDROGEN = Sign.of(new AlarmId("tx-1", "gas-1.hydrogen-high"));

    private static Assessment assessment() {
        Inference.Link link = new Inference.Link(
                FAN, 0.1 + 0.2, Duration.ofMinutes(3), Duration.ofDays(2), Diagnosis.Told.HOLDS, true);
        Inference.Link other =
                new Inference.Link(HYDROGEN, 0.5, Duration.ZERO, null, Diagnosis.Told.DOES_NOT_HOLD, false);
        return new Assessment(
                "windlow-gw.3.9",
                "tx-1",
                List.of("tx-1"),
                new Inference(
                        Duration.ofDays(30),
                        List.of(new Inference.CauseTerm(
                                "gas-1.fan", 0.2, "our own estimate", 1e-7, 1, 1.0 / 3, 0.95, List.of(link, other))),
                        List.of(new Inference.SignTerm(HYDROGEN, 0.01, "as above", 2e-5, 0.3)),
                        4.9e-324,
                        Inference.Method.EXACT,
                        0));
    }

    static Stream<GuidedInput> inputs() {
        Map<String, Double> readings = new LinkedHashMap<>();
        readings.put("fan-speed", 1_834.5);
        readings.put("cell-temperature", -0.1);
        return Stream.of(
                new GuidedInput.Begun(ENTRY, assessment()),
                new GuidedInput.Reassessed(ENTRY, assessment()),
                new GuidedInput.Joined(ENTRY),
                new GuidedInput.Left(ENTRY),
                new GuidedInput.SecondPerson(ENTRY, "B. Low"),
                new GuidedInput.Authorised(ENTRY, "gas-1.measure", "permit 4"),
                new GuidedInput.ControlRoomTold(ENTRY, true, "shift leader"),
                new GuidedInput.WordsSaved(ENTRY, "laptop"),
                new GuidedInput.Prepared(ENTRY, "gas-1.measure", Work.Preparation.LOCKED),
                new GuidedInput.Answered(ENTRY, "gas-1.look", 1, ""),
                new GuidedInput.Measured(ENTRY, "gas-1.measure", "13,5 V", true, false, "noted"),
                new GuidedInput.Repaired(ENTRY, "gas-1.fan", null, "part 7"),
                new GuidedInput.Repaired(ENTRY, "gas-1.fan", "gas-1.replace", ""),
                new GuidedInput.Watched(ENTRY, List.of(FAN), List.of(HYDROGEN), 2, readings),
                new GuidedInput.HandedOver(ENTRY, "the maker", "no spare"),
                new GuidedInput.GivenUp(ENTRY, "storm"));
    }

    private static StationEvent.FaultFinding event(GuidedInput input) {
        return new StationEvent.FaultFinding(
                new EventId("windlow-gw", 3, 12),
                "windlow-gw.3.10",
                new GuidedEvent(
                        5,
                        input,
                        List.of(
                                new GuidedEvent.Judged(13.5, "V", Verdict.WITHIN, "13.25 to 13.75 V", 0),
                                new GuidedEvent.CauseFound("gas-1.fan", 0.97, false),
                                new GuidedEvent.CauseInDoubt("gas-1.fan", "spoken against"),
                                new GuidedEvent.WatchBegun("gas-1.fan"),
                                new GuidedEvent.RepairInVain("gas-1.fan", "still there"),
                                new GuidedEvent.ProvedGone("gas-1.fan"))),
                new StationEvent.FaultFinding.Said("Look at the fan.", "it turns", "its sensor"),
                List.of(new DeviceSeen(
                        "gas-1",
                        true,
                        List.of(new DeviceSeen.Answer("fast", "function 3, from 0: C001", Samples.NOON)),
                        List.of(new DeviceSeen.Word("status", 0x8000_0000_0000_0001L, 64, Samples.NOON)),
                        List.of("fan-stopped"),
                        List.of(
                                new DeviceSeen.Value("serial-number", null, "S-1", QualityReason.NONE, Samples.NOON),
                                new DeviceSeen.Value("hydrogen", 20.25, null, QualityReason.STALE, Samples.NOON)))));
    }

    @ParameterizedTest
    @MethodSource("inputs")
    void everyKindIsReadAsItWasWritten(GuidedInput input) {
        StationEvent.FaultFinding event = event(input);
        assertThat(EventCodec.read(EventCodec.write(event))).isEqualTo(event);
    }

    @Test
    void everyKindOfInputIsTried() {
        assertThat(inputs().map(Object::getClass).distinct())
                .containsExactlyInAnyOrder(GuidedInput.class.getPermittedSubclasses());
    }

    @Test
    void theWrittenFormIsFixedToTheByte() {
        StationEvent.FaultFinding event = new StationEvent.FaultFinding(
                new EventId("windlow-gw", 3, 12),
                "windlow-gw.3.10",
                new GuidedEvent(
                        5,
                        new GuidedInput.Measured(ENTRY, "gas-1.measure", "13,5 V", true, true, ""),
                        List.of(new GuidedEvent.Judged(13.5, "V", Verdict.WITHIN, "13.25 to 13.75 V", 0))),
                StationEvent.FaultFinding.Said.NOTHING,
                List.of());
        assertThat(new String(EventCodec.write(event), StandardCharsets.UTF_8))
                .isEqualTo("{\"kind\":\"fault-finding\",\"v\":1,\"id\":\"windlow-gw.3.12\","
                        + "\"at\":{\"mono\":1000,\"wall\":1772366400000,\"trusted\":true},"
                        + "\"session\":\"windlow-gw.3.10\",\"version\":5,\"what\":\"measured\",\"key\":\"k-1\","
                        + "\"by\":{\"name\":\"A. \\\"Ner\\\"\",\"door\":\"page\"},\"seenVersion\":4,"
                        + "\"doneAt\":1772366000000,\"said\":{\"about\":\"\",\"found\":\"\",\"means\":\"\"},"
                        + "\"input\":{\"check\":\"gas-1.measure\",\"written\":\"13,5 V\",\"testerProvedBefore\":true,"
                        + "\"testerProvedAfter\":true,\"note\":\"\"},"
                        + "\"consequences\":[{\"follows\":\"judged\",\"value\":13.5,\"unit\":\"V\","
                        + "\"verdict\":\"WITHIN\",\"accepted\":\"13.25 to 13.75 V\",\"outcome\":0}],\"devices\":[]}");
    }

    /** Double.toString differs between Java versions; what is written must be read as the same number on each. */
    @Test
    void everyNumberIsReadAsTheSameNumber() {
        SplittableRandom random = new SplittableRandom(8);
        for (int i = 0; i < 20_000; i++) {
            double value = Double.longBitsToDouble(random.nextLong());
            if (!Double.isFinite(value)) {
                continue;
            }
            byte[] written = CanonicalJson.object(json -> CanonicalJson.decimal(json, "x", value));
            assertThat(CanonicalJson.decimal(CanonicalJson.parse(written), "x")).isEqualTo(value);
        }
    }
}
