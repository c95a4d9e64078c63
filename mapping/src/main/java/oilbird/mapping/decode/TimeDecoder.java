package oilbird.mapping.decode;

import java.time.DateTimeException;
import java.time.LocalDateTime;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.List;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.TimeField;
import oilbird.mapping.map.ValueType;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;

/** Decodes the date and time of a device; the reading's text is local to the zone that the device keeps. */
final class TimeDecoder {
    private static final DateTimeFormatter SECONDS = DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss");
    private static final DateTimeFormatter MILLIS = DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss.SSS");

    /** Milliseconds to which an OPC UA DateTime of 0 comes, which means no time (OPC UA Part 6, 5.2.2.5). */
    private static final long OPC_UA_ZERO = -11_644_473_600_000L;

    private TimeDecoder() {}

    static Reading ofSeconds(SignalId id, long seconds, Moment at) {
        return good(id, LocalDateTime.ofEpochSecond(seconds, 0, ZoneOffset.UTC), false, at);
    }

    static Reading ofMillis(SignalId id, long millis, Moment at) {
        long seconds = Math.floorDiv(millis, 1000L);
        if (Math.abs(seconds) > 253_402_300_799L) {
            // Beyond the year 9999 it is no time, whatever it is.
            return none(id, QualityReason.OUTSIDE_RANGE, at);
        }
        int nanos = (int) Math.floorMod(millis, 1000L) * 1_000_000;
        return good(id, LocalDateTime.ofEpochSecond(seconds, nanos, ZoneOffset.UTC), true, at);
    }

    static Reading ofOpcUa(SignalId id, long millis, Moment at) {
        return millis <= OPC_UA_ZERO ? none(id, QualityReason.NO_VALUE, at) : ofMillis(id, millis, at);
    }

    /** Each part in a register or a byte of its own. */
    static Reading ofParts(Point point, SignalId id, RawBlock raw, Moment at) {
        List<TimeField> fields = point.fields();
        int[] parts = new int[fields.size()];
        boolean allZero = true;
        if (point.type() == ValueType.DATE_TIME_BCD) {
            int[] octets = octets(point, raw);
            for (int i = 0; i < parts.length; i++) {
                int high = octets[i] >> 4;
                int low = octets[i] & 0xF;
                if ((high > 9 || low > 9) && fields.get(i) != TimeField.UNUSED) {
                    return none(id, QualityReason.NOT_A_NUMBER, at);
                }
                parts[i] = 10 * high + low;
                allZero &= octets[i] == 0;
            }
        } else {
            for (int i = 0; i < parts.length; i++) {
                parts[i] = raw.cell(point.place().start() + i);
                allZero &= parts[i] == 0;
            }
        }
        if (allZero) {
            return none(id, QualityReason.NO_VALUE, at);
        }
        int[] of = new int[TimeField.values().length];
        for (int i = 0; i < parts.length; i++) {
            of[fields.get(i).ordinal()] = parts[i];
        }
        return ofNumbers(
                id,
                of[TimeField.YEAR.ordinal()],
                of[TimeField.MONTH.ordinal()],
                of[TimeField.DAY.ordinal()],
                of[TimeField.HOUR.ordinal()],
                of[TimeField.MINUTE.ordinal()],
                of[TimeField.SECOND.ordinal()],
                of[TimeField.MILLISECOND.ordinal()],
                fields.contains(TimeField.MILLISECOND),
                at);
    }

    /**
     * IEC 60870-5-4, 6.8: milliseconds in two octets, the low one first; minutes with the bit IV; hours; day of the
     * month with that of the week; months; years.
     */
    static Reading ofCp56(Point point, SignalId id, RawBlock raw, Moment at) {
        int[] octets = octets(point, raw);
        if ((octets[2] & 0x80) != 0) {
            return none(id, QualityReason.DECLARED_INVALID, at);
        }
        int millis = octets[0] | octets[1] << 8;
        return ofNumbers(
                id,
                octets[6] & 0x7F,
                octets[5] & 0x0F,
                octets[4] & 0x1F,
                octets[3] & 0x1F,
                octets[2] & 0x3F,
                millis / 1000,
                millis % 1000,
                true,
                at);
    }

    private static Reading ofNumbers(
            SignalId id,
            int year,
            int month,
            int day,
            int hour,
            int minute,
            int second,
            int millis,
            boolean inMillis,
            Moment at) {
        if (year > 9999 || millis > 999) {
            return none(id, QualityReason.OUTSIDE_RANGE, at);
        }
        try {
            LocalDateTime time = LocalDateTime.of(
                    year < 100 ? 2000 + year : year, month, day, hour, minute, second, millis * 1_000_000);
            return good(id, time, inMillis, at);
        } catch (DateTimeException noSuchTime) {
            return none(id, QualityReason.OUTSIDE_RANGE, at);
        }
    }

    /** The bytes of the registers in the order that the point states. */
    private static int[] octets(Point point, RawBlock raw) {
        int start = point.place().start();
        int cells = point.place().cells();
        int[] octets = new int[2 * cells];
        for (int i = 0; i < cells; i++) {
            int cell = raw.cell(point.order().lowWordFirst() ? start + cells - 1 - i : start + i);
            octets[2 * i] = point.order().bytesSwapped() ? cell & 0xFF : cell >> 8;
            octets[2 * i + 1] = point.order().bytesSwapped() ? cell >> 8 : cell & 0xFF;
        }
        return octets;
    }

    private static Reading good(SignalId id, LocalDateTime time, boolean inMillis, Moment at) {
        return new Reading(id, null, (inMillis ? MILLIS : SECONDS).format(time), QualityReason.NONE, at);
    }

    private static Reading none(SignalId id, QualityReason reason, Moment at) {
        return new Reading(id, null, null, reason, at);
    }
}
