package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/**
 * Golden vectors of the times that devices send, worked out by hand. 1234567890 s after the epoch is
 * 2009-02-13T23:31:30Z (a well-known instant of Unix time). CP56Time2a is laid out as in IEC 60870-5-4, 6.8 and
 * IEC 60870-5-101, 7.2.6.18 (from memory: milliseconds low octet first; IV is bit 8 of the minutes, SU bit 8 of the
 * hours, the day of the week the three high bits of the day). Parts in registers and BCD bytes are common practice.
 */
class DeviceTimeTest {
    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/vectors/device-times.csv", numLinesToSkip = 1)
    void eachCodingSaysWhatTheVectorSays(
            String type,
            @Nullable String order,
            @Nullable String fields,
            String registers,
            String says,
            QualityReason reason) {
        DeviceMap map = Maps.read("points: {device-time: {text: time of the device, holding_register: 0, type: " + type
                + (order == null ? "" : ", order: " + order)
                + (fields == null ? "" : ", fields: [" + fields + "]")
                + "}}\n");
        int[] cells = Arrays.stream(registers.split(" "))
                .mapToInt(r -> Integer.parseInt(r, 16))
                .toArray();
        Reading reading = Maps.reading(Maps.decode(map, cells), "device-time");
        assertThat(reading.text() == null ? "-" : reading.text()).isEqualTo(says);
        assertThat(reading.reason()).isEqualTo(reason);
    }
}
