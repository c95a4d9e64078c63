package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.StateName;
import oilbird.alarm.state.Suppression;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

class CodecTest {
    private static String written(StationEvent event) {
        return new String(EventCodec.write(event), StandardCharsets.UTF_8);
    }

    @Test
    void theWrittenFormOfAnAlarmEventIsFixedToTheByte() {
        assertThat(written(Samples.alarmEvent(3, 9)))
                .isEqualTo("{\"kind\":\"alarm\",\"v\":2,\"id\":\"windlow-gw.3.9\","
                        + "\"at\":{\"mono\":1000,\"wall\":1772366400000,\"trusted\":true},"
                        + "\"asset\":\"tx-1\",\"rule\":\"gas-1.fan-stopped\",\"occurrence\":7,\"what\":\"RAISED\","
                        + "\"after\":\"UNACK\",\"active\":true,\"acknowledged\":false,\"confirmed\":true,\"latched\":false,"
                        + "\"enabled\":true,\"shelving\":\"NONE\",\"shelvedNanos\":0,\"suppressed\":false,"
                        + "\"outOfService\":false,\"reAlarms\":0,"
                        + "\"annunciate\":\"START\",\"priority\":\"MINOR\",\"quality\":\"GOOD\",\"by\":null,"
                        + "\"text\":\"fan stopped\",\"doubted\":[{\"reading\":{\"owner\":\"gas-1\",\"name\":\"h2\"},"
                        + "\"because\":{\"owner\":\"gas-1\",\"name\":\"fan-stopped\"},\"worthless\":false}]}");
    }

    @Test
    void theWrittenFormOfANoticeIsFixedToTheByte() {
        assertThat(written(Samples.notice(3, 10)))
                .isEqualTo("{\"kind\":\"notice\",\"v\":1,\"id\":\"windlow-gw.3.10\","
                        + "\"at\":{\"mono\":1000,\"wall\":1772366400000,\"trusted\":true},"
                        + "\"what\":\"UNDOCUMENTED_BIT\",\"subject\":{\"owner\":\"gas-1\",\"name\":\"status-1\"},"
                        + "\"text\":\"bit 9\"}");
    }

    private static StationEvent accessed(StationEvent.Accessed.Kind kind) {
        return new StationEvent.Accessed(
                new EventId("windlow-gw", 3, 11),
                kind,
                "a.tester",
                new Actor("a.tester", "page"),
                "192.0.2.10",
                "role operator",
                1,
                Samples.NOON);
    }

    @Test
    void theWrittenFormOfAnEventOfAccessIsFixedToTheByte() {
        assertThat(written(accessed(StationEvent.Accessed.Kind.SIGNED_IN)))
                .isEqualTo("{\"kind\":\"accessed\",\"v\":1,\"id\":\"windlow-gw.3.11\","
                        + "\"at\":{\"mono\":1000,\"wall\":1772366400000,\"trusted\":true},"
                        + "\"what\":\"SIGNED_IN\",\"about\":\"a.tester\","
                        + "\"by\":{\"name\":\"a.tester\",\"door\":\"page\"},\"address\":\"192.0.2.10\","
                        + "\"text\":\"role operator\",\"times\":1}");
    }

    @ParameterizedTest
    @EnumSource(StationEvent.Accessed.Kind.class)
    void everyKindOfAccessEventIsReadAsItWasWritten(StationEvent.Accessed.Kind kind) {
        assertThat(EventCodec.read(EventCodec.write(accessed(kind)))).isEqualTo(accessed(kind));
    }

    /** The row is the one that version 1 was fixed to. */
    @Test
    void anAlarmEventOfTheFirstVersionSaysOfItsLayersWhatItsStateNameTells() {
        StationEvent shelved = EventCodec.read(("{\"kind\":\"alarm\",\"v\":1,\"id\":\"windlow-gw.3.9\","
                        + "\"at\":{\"mono\":1000,\"wall\":1772366400000,\"trusted\":true},"
                        + "\"asset\":\"tx-1\",\"rule\":\"gas-1.fan-stopped\",\"occurrence\":7,\"what\":\"RAISED\","
                        + "\"after\":\"SHLVD\",\"active\":true,\"acknowledged\":false,\"latched\":false,"
                        + "\"annunciate\":\"NONE\",\"priority\":\"MINOR\",\"quality\":\"GOOD\",\"by\":null,"
                        + "\"text\":\"fan stopped\",\"doubted\":[]}")
                .getBytes(StandardCharsets.UTF_8));

        AlarmEvent event = ((StationEvent.OfAlarm) shelved).event();
        assertThat(event.confirmed()).isTrue();
        assertThat(event.enabled()).isTrue();
        assertThat(event.shelving()).isEqualTo(Shelving.Kind.TIMED);
        assertThat(event.shelvedFor()).isEqualTo(AlarmEvent.NO_LIMIT);
        assertThat(event.suppressedByDesign()).isFalse();
        assertThat(event.outOfService()).isFalse();
    }

    @ParameterizedTest
    @EnumSource(AlarmEvent.Kind.class)
    void everyKindOfAlarmEventIsReadAsItWasWritten(AlarmEvent.Kind kind) {
        int i = kind.ordinal();
        StationEvent event = new StationEvent.OfAlarm(
                new EventId("windlow.gw", Long.MAX_VALUE, i),
                new AlarmEvent(
                        new AlarmId("tx-1", "gas-1.überlast \"q\"\\"),
                        i,
                        kind,
                        StateName.values()[i % StateName.values().length],
                        i % 2 == 0,
                        i % 3 == 0,
                        i % 7 == 0,
                        i % 5 == 0,
                        i % 4 != 0,
                        Shelving.Kind.values()[i % 3],
                        i % 3 == 0
                                ? Duration.ZERO
                                : i % 2 == 0 ? AlarmEvent.NO_LIMIT : Duration.ofNanos(i * 1_234_567L),
                        i % 6 == 0,
                        i % 8 == 0,
                        i,
                        AlarmEvent.Annunciation.values()[i % AlarmEvent.Annunciation.values().length],
                        Priority.values()[i % Priority.values().length],
                        Quality.values()[i % Quality.values().length],
                        i % 2 == 0 ? new Actor("A. Operator", "page") : null,
                        "line 1\nline 2 \u0000 \uD83D\uDD25",
                        new Moment(-5, i, false)),
                List.of());
        assertThat(EventCodec.read(EventCodec.write(event))).isEqualTo(event);
    }

    @ParameterizedTest
    @EnumSource(StationEvent.Notice.Kind.class)
    void everyKindOfNoticeIsReadAsItWasWritten(StationEvent.Notice.Kind kind) {
        StationEvent event = new StationEvent.Notice(
                new EventId("windlow-gw", 1, 1), kind, new SignalId("gas-1", "w/1"), "", Samples.NOON);
        assertThat(EventCodec.read(EventCodec.write(event))).isEqualTo(event);
    }

    @Test
    void aCommentWithHalfAnUnpairedSurrogateIsMendedAndDoesNotStopTheRecord() {
        StationEvent read = EventCodec.read(EventCodec.write(Samples.alarmEvent(1, 1, "x\uD83Dy\uDD25")));
        assertThat(((StationEvent.OfAlarm) read).event().text()).isEqualTo("x\uFFFDy\uFFFD");
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "",
                "null",
                "[]",
                "{\"kind\":\"alarm\",\"v\":3}",
                "{\"kind\":\"else\",\"v\":1}",
                "{\"kind\":\"notice\",\"v\":1}",
                "{\"kind\":\"notice\",\"v\":1,\"id\":\"x\",\"at\":{\"mono\":1,\"wall\":1,\"trusted\":true},"
                        + "\"what\":\"INPUTS_LOST\",\"subject\":{\"owner\":\"a\",\"name\":\"b\"},\"text\":\"\"}",
                "{\"kind\":\"notice\",\"v\":1,\"id\":\"g.1.1\",\"at\":{\"mono\":1.5,\"wall\":1,\"trusted\":true},"
                        + "\"what\":\"INPUTS_LOST\",\"subject\":{\"owner\":\"a\",\"name\":\"b\"},\"text\":\"\"}"
            })
    void whatIsNoKnownEventIsRefused(String text) {
        assertThatThrownBy(() -> EventCodec.read(text.getBytes(StandardCharsets.UTF_8)))
                .isInstanceOf(UnreadableRowException.class);
    }

    @Test
    void everyMemoryOfAnAlarmIsReadAsItWasWritten() {
        AlarmState full = Samples.fullState(Samples.FAN, "windlow-gw.3.9");
        assertThat(StateCodec.read(StateCodec.write(full))).isEqualTo(full);
    }

    @Test
    void whoSuppressedFromOutsideAndThatAConfirmationIsWaitedForIsReadAsItWasWritten() {
        AlarmState full = Samples.suppressedFromOutside(Samples.FAN, "windlow-gw.3.9");
        assertThat(StateCodec.read(StateCodec.write(full))).isEqualTo(full);
    }

    @Test
    void anAlarmThatNeverHappenedIsReadAsItWasWritten() {
        AlarmState fresh = new AlarmState(
                Samples.FAN,
                true,
                null,
                false,
                true,
                true,
                false,
                Shelving.NONE,
                Suppression.NONE,
                (OutOfService) null,
                0,
                Priority.WARNING,
                Quality.BAD,
                null,
                AlarmState.NEVER,
                0,
                "",
                "",
                "",
                null);
        assertThat(StateCodec.read(StateCodec.write(fresh))).isEqualTo(fresh);
    }
}
