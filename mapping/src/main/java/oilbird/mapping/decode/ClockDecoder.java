package oilbird.mapping.decode;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDateTime;
import java.time.ZoneOffset;
import java.time.zone.ZoneOffsetTransition;
import java.time.zone.ZoneRules;
import java.util.List;
import oilbird.mapping.map.DeviceClock;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;

/**
 * Compares a device's clock with the gateway's. While the gateway's own is not to be trusted nothing can be told of
 * the device's.
 */
final class ClockDecoder {
    /** Characters of a time of whole seconds. */
    private static final int SECONDS = 19;

    private final DeviceClock clock;
    private final ZoneRules rules;

    ClockDecoder(DeviceClock clock) {
        this.clock = clock;
        this.rules = clock.zone().getRules();
    }

    /** Adds the difference, and whether it is too large, to what the answer says. */
    void decode(String device, Moment at, List<Reading> readings, List<Indication> indications) {
        Reading time = readings.stream()
                .filter(r -> r.id().name().equals(clock.point()))
                .findFirst()
                .orElseThrow();
        SignalId difference = new SignalId(device, clock.reading());
        SignalId wrong = new SignalId(device, clock.indication());
        String shown = time.text();
        QualityReason reason = at.wallTrusted() ? time.reason() : QualityReason.DECLARED_INVALID;
        if (shown == null || reason != QualityReason.NONE) {
            QualityReason why = reason == QualityReason.NONE ? QualityReason.NO_VALUE : reason;
            readings.add(new Reading(difference, null, null, why, at));
            indications.add(Indication.cannotBeTold(wrong, why, at));
            return;
        }
        // Of whole seconds, half a second later is the middle of what the device may mean.
        LocalDateTime local = LocalDateTime.parse(shown).plusNanos(shown.length() == SECONDS ? 500_000_000L : 0);
        Duration ahead = ahead(local, Instant.ofEpochMilli(at.wallMillis()));
        readings.add(new Reading(difference, ahead.toMillis() / 1000.0, null, QualityReason.NONE, at));
        indications.add(Indication.of(wrong, ahead.abs().compareTo(clock.bound()) > 0, at));
    }

    /**
     * How far the device is ahead. A time that comes twice, in the night when clocks go back, is taken for the nearer
     * of the two; one that does not exist, in the night when they go forward, is that of a clock that was not put
     * forward and so is behind.
     */
    private Duration ahead(LocalDateTime shown, Instant now) {
        ZoneOffsetTransition change = rules.getTransition(shown);
        if (change == null) {
            return between(now, shown, rules.getOffset(shown));
        }
        Duration after = between(now, shown, change.getOffsetAfter());
        if (change.isGap()) {
            return after;
        }
        Duration before = between(now, shown, change.getOffsetBefore());
        return before.abs().compareTo(after.abs()) < 0 ? before : after;
    }

    private static Duration between(Instant now, LocalDateTime shown, ZoneOffset offset) {
        return Duration.between(now, shown.toInstant(offset));
    }
}
