package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Instant;
import java.time.LocalDateTime;
import java.time.ZoneOffset;
import java.util.List;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/**
 * A device's clock against the gateway's. device-clock.csv covers both changeover nights; in the European Union
 * summer time begins and ends at 01:00 UTC on the last Sundays of March and October (Directive 2000/84/EC), in 2026
 * 29 March and 25 October.
 */
class DeviceClockTest {
    private static DeviceMap map(String zone) {
        return Maps.read("""
                clock: {point: device-time, zone: %s, wrong_beyond: 1 min, indication: clock-wrong}
                points:
                  device-time: {text: time of the device, holding_register: 0, type: unix-seconds, no_value: 0}
                indications:
                  clock-wrong: {text: clock wrong}
                """.formatted(zone));
    }

    private static Decoded decode(DeviceMap map, long seconds, Moment at) {
        return new Decoder(map)
                .decode(
                        "dev",
                        new RawBlock(
                                map.readPlan().get(0), new int[] {(int) (seconds >> 16), (int) (seconds & 0xFFFF)}),
                        at);
    }

    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/vectors/device-clock.csv", numLinesToSkip = 1)
    void theDifferenceIsMeasuredInTheDeclaredZoneInBothChangeoverNightsToo(
            String zone, String now, String deviceShows, double ahead, boolean wrong) {
        DeviceMap map = map(zone);
        Moment at = new Moment(0, Instant.parse(now).toEpochMilli(), true);
        // The device counts the seconds of its own zone.
        long seconds = LocalDateTime.parse(deviceShows).toEpochSecond(ZoneOffset.UTC);
        Decoded decoded = decode(map, seconds, at);
        assertThat(Maps.reading(decoded, "clock-difference").number())
                .isNotNull()
                .isCloseTo(ahead, within(0.51));
        assertThat(Maps.indication(decoded, "clock-wrong").state())
                .isEqualTo(wrong ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD);
    }

    @Test
    void aClockThatFollowsItsRuleIsRightInEverySecondMinuteOfBothNights() {
        var zone = java.time.ZoneId.of("Europe/Lisbon");
        DeviceMap map = map("Europe/Lisbon");
        for (String begin : List.of("2026-03-28T22:00:00Z", "2026-10-24T22:00:00Z")) {
            for (int second = 0; second < 6 * 3600; second += 121) {
                Instant now = Instant.parse(begin).plusSeconds(second);
                for (int slow : List.of(-45, 0, 45)) {
                    long shown =
                            LocalDateTime.ofInstant(now.plusSeconds(slow), zone).toEpochSecond(ZoneOffset.UTC);
                    Decoded decoded = decode(map, shown, new Moment(0, now.toEpochMilli(), true));
                    assertThat(Maps.reading(decoded, "clock-difference").number())
                            .as("%s %+d", now, slow)
                            .isNotNull()
                            .isCloseTo(slow, within(0.51));
                }
            }
        }
    }

    @Test
    void whileTheGatewaysOwnClockIsNotTrustedNothingCanBeTold() {
        Decoded decoded = decode(map("UTC"), 1_700_000_000L, new Moment(0, 1_700_000_000_000L, false));
        assertThat(Maps.indication(decoded, "clock-wrong").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(Maps.reading(decoded, "clock-difference").reason()).isEqualTo(QualityReason.DECLARED_INVALID);
        assertThat(Maps.reading(decoded, "device-time").reason()).isEqualTo(QualityReason.NONE);
    }

    @Test
    void aClockThatWasNeverSetCannotBeCompared() {
        Decoded decoded = decode(map("UTC"), 0, new Moment(0, 1_700_000_000_000L, true));
        assertThat(Maps.indication(decoded, "clock-wrong").reason()).isEqualTo(QualityReason.NO_VALUE);
    }

    @Test
    void theMapNamesWhatItsBlockDelivers() {
        DeviceMap map = map("UTC");
        assertThat(map.readingsOf(map.readPlan().get(0))).containsExactly("device-time", "clock-difference");
        assertThat(map.indicationsOf(map.readPlan().get(0))).containsExactly("clock-wrong");
    }
}
