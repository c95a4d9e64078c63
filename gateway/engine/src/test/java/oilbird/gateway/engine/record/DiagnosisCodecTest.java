package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.util.List;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

class DiagnosisCodecTest {
    private static final Sign FAN = Sign.of(new SignalId("gas-1", "fan-stopped"));
    private static final Sign HYDROGEN = Sign.of(new AlarmId("tx-1", "gas-1.hydrogen-high"));

    private static StationEvent.Diagnosed diagnosed(StationEvent.Diagnosed.Kind kind) {
        return new StationEvent.Diagnosed(
                new EventId("windlow-gw", 3, 11),
                kind,
                "windlow-gw.3.9",
                "tx-1",
                List.of("tx-1"),
                new Moment(-5, 1_772_366_400_000L, false),
                List.of(new StationEvent.Diagnosed.Likely("gas-1.fan", "the fan \"stands\"", Trouble.MONITOR, 931_204)),
                List.of(FAN, HYDROGEN),
                List.of(HYDROGEN),
                List.of(HYDROGEN),
                List.of(new AlarmId("tx-1", "gas-1.fan")),
                List.of(),
                true,
                Samples.NOON);
    }

    @Test
    void theWrittenFormOfADiagnosisIsFixedToTheByte() {
        assertThat(new String(EventCodec.write(diagnosed(StationEvent.Diagnosed.Kind.OPENED)), StandardCharsets.UTF_8))
                .isEqualTo("{\"kind\":\"diagnosed\",\"v\":1,\"id\":\"windlow-gw.3.11\","
                        + "\"at\":{\"mono\":1000,\"wall\":1772366400000,\"trusted\":true},"
                        + "\"what\":\"OPENED\",\"diagnosis\":\"windlow-gw.3.9\",\"subject\":\"tx-1\","
                        + "\"assets\":[\"tx-1\"],\"since\":{\"mono\":-5,\"wall\":1772366400000,\"trusted\":false},"
                        + "\"causes\":[{\"cause\":\"gas-1.fan\",\"says\":\"the fan \\\"stands\\\"\","
                        + "\"trouble\":\"MONITOR\",\"millionths\":931204}],"
                        + "\"signs\":[{\"indication\":{\"owner\":\"gas-1\",\"name\":\"fan-stopped\"}},"
                        + "{\"alarm\":{\"asset\":\"tx-1\",\"rule\":\"gas-1.hydrogen-high\"}}],"
                        + "\"orOneOf\":[{\"alarm\":{\"asset\":\"tx-1\",\"rule\":\"gas-1.hydrogen-high\"}}],"
                        + "\"unexplained\":[{\"alarm\":{\"asset\":\"tx-1\",\"rule\":\"gas-1.hydrogen-high\"}}],"
                        + "\"grouped\":[{\"asset\":\"tx-1\",\"rule\":\"gas-1.fan\"}],\"apart\":[],\"keepAway\":true}");
    }

    @ParameterizedTest
    @EnumSource(StationEvent.Diagnosed.Kind.class)
    void everyKindOfDiagnosisIsReadAsItWasWritten(StationEvent.Diagnosed.Kind kind) {
        assertThat(EventCodec.read(EventCodec.write(diagnosed(kind)))).isEqualTo(diagnosed(kind));
    }

    @ParameterizedTest
    @EnumSource(StationEvent.KeptAway.Kind.class)
    void everyKindOfKeepAwayIsReadAsItWasWritten(StationEvent.KeptAway.Kind kind) {
        boolean released = kind == StationEvent.KeptAway.Kind.RELEASED;
        StationEvent event = new StationEvent.KeptAway(
                new EventId("windlow-gw", 3, 12),
                kind,
                "tx-1",
                List.of("cause gas-1.discharge", "alarm tx-1/gas-1.rise"),
                released ? new Actor("C. Room", "control room") : null,
                "said",
                Samples.NOON);

        assertThat(EventCodec.read(EventCodec.write(event))).isEqualTo(event);
    }

    @Test
    void whatANewProcessGoesOnFromIsReadAsItWasWritten() {
        Standing standing = new Standing(
                List.of(),
                List.of(),
                List.of(),
                List.of(
                        new Standing.KeepAway("tx-1", Samples.NOON, List.of("cause gas-1.discharge"), null),
                        new Standing.KeepAway("tx-2", Samples.NOON, List.of(), new Actor("C. Room", "control room"))),
                List.of(new Standing.OpenDiagnosis(
                        "windlow-gw.3.9",
                        "tx-1",
                        Samples.NOON,
                        List.of(
                                new Standing.HeldSign(FAN, Samples.NOON),
                                new Standing.HeldSign(HYDROGEN, Samples.NOON)))),
                List.of());

        assertThat(StandingCodec.read(StandingCodec.write(standing))).isEqualTo(standing);
    }

    @Test
    void standingOrdersFromBeforeThereWereDiagnosesAreRead() {
        byte[] before =
                "{\"v\":1,\"maintenance\":[],\"alarmTests\":[],\"readingTests\":[]}".getBytes(StandardCharsets.UTF_8);

        assertThat(StandingCodec.read(before)).isEqualTo(Standing.NONE);
    }
}
