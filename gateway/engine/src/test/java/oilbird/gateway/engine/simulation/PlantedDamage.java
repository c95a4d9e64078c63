package oilbird.gateway.engine.simulation;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;

/** What a planted fault does to inputs and outcomes of the fold. */
final class PlantedDamage {
    private PlantedDamage() {}

    /** On the way into the fold; whoever watches sees the input as it was. */
    static StationInput before(PlantedFault fault, StationInput input, Map<String, StationInput.Observed> lastAnswers) {
        if (input instanceof StationInput.Observed observed) {
            Decoded decoded = observed.decoded();
            lastAnswers.put(decoded.device() + '/' + decoded.block(), observed);
            if (fault == PlantedFault.DOUBT_PASSED_OVER) {
                return clear(decoded, decoded, "service-mode");
            }
        }
        if (fault == PlantedFault.BAD_DATA_READ_AS_CLEAR && input instanceof StationInput.RequestFailed failed) {
            StationInput.Observed last = lastAnswers.get(failed.device() + '/' + failed.block());
            if (last != null) {
                Decoded now = new Decoded(
                        failed.device(),
                        failed.block(),
                        last.decoded().readings(),
                        last.decoded().indications(),
                        List.of(),
                        failed.at());
                return clear(now, last.decoded(), "");
            }
        }
        if (fault == PlantedFault.MAINTENANCE_PASSED_OVER && input instanceof StationInput.BeginMaintenance begin) {
            return new StationInput.Elapsed(begin.at());
        }
        if (fault == PlantedFault.POINT_TEST_NEVER_ENDS && input instanceof StationInput.TestAlarm test) {
            return new StationInput.TestAlarm(test.alarm(), test.active(), test.by(), Duration.ofHours(1), test.at());
        }
        if (fault == PlantedFault.FORCED_READING_TAKEN_FOR_TRUE && input instanceof StationInput.TestReading test) {
            for (StationInput.Observed last : lastAnswers.values()) {
                if (last.decoded().device().equals(test.reading().owner())
                        && last.decoded().readings().stream()
                                .anyMatch(reading -> reading.id().equals(test.reading()))) {
                    return forced(last.decoded(), test);
                }
            }
        }
        return input;
    }

    private static StationInput forced(Decoded last, StationInput.TestReading test) {
        List<Reading> readings = last.readings().stream()
                .map(reading -> reading.id().equals(test.reading())
                        ? new Reading(reading.id(), test.number(), null, QualityReason.NONE, test.at())
                        : reading.id().name().equals("analysis-counter") && reading.number() != null
                                ? new Reading(reading.id(), reading.number() + 1, null, QualityReason.NONE, test.at())
                                : reading)
                .toList();
        return new StationInput.Observed(
                new Decoded(last.device(), last.block(), readings, last.indications(), last.words(), test.at()));
    }

    private static StationInput clear(Decoded now, Decoded told, String only) {
        List<Indication> cleared = told.indications().stream()
                .map(i -> only.isEmpty() || i.id().name().equals(only)
                        ? Indication.of(i.id(), false, now.at())
                        : new Indication(i.id(), i.state(), i.reason(), now.at()))
                .toList();
        return new StationInput.Observed(
                new Decoded(now.device(), now.block(), now.readings(), cleared, now.words(), now.at()));
    }

    /** As if the fold itself were wrong. */
    static StationStep inside(PlantedFault fault, StationStep step) {
        if (fault == PlantedFault.SUPPRESSED_ALARM_NOT_EVALUATED) {
            List<StationEvent> kept = step.events().stream()
                    .filter(event -> !(event instanceof StationEvent.OfAlarm ofAlarm
                            && hidden(ofAlarm.event())
                            && (ofAlarm.event().kind() == AlarmEvent.Kind.RAISED
                                    || ofAlarm.event().kind() == AlarmEvent.Kind.RETURNED)))
                    .toList();
            return saying(kept, step);
        }
        if (fault == PlantedFault.SUPPRESSED_ALARM_SOUNDS) {
            List<StationEvent> sounding = step.events().stream()
                    .map(event -> event instanceof StationEvent.OfAlarm ofAlarm
                                    && hidden(ofAlarm.event())
                                    && ofAlarm.event().kind() == AlarmEvent.Kind.RAISED
                            ? new StationEvent.OfAlarm(ofAlarm.id(), sounding(ofAlarm.event()), ofAlarm.doubted())
                            : event)
                    .toList();
            return saying(sounding, step);
        }
        return step;
    }

    /** Between fold and writer. */
    static StationStep after(PlantedFault fault, StationStep step) {
        if (fault == PlantedFault.EVENT_DROPPED_BEFORE_THE_COMMIT
                && step.events().size() > 1) {
            return saying(step.events().subList(0, step.events().size() - 1), step);
        }
        return step;
    }

    /** The same step with other events. */
    private static StationStep saying(List<StationEvent> events, StationStep step) {
        return new StationStep(
                events,
                step.changed(),
                step.standing(),
                step.remembered(),
                step.wakeAt(),
                step.refusal(),
                step.notTaken());
    }

    private static boolean hidden(AlarmEvent event) {
        return event.after() == StateName.SHLVD || event.after() == StateName.OOSRV;
    }

    private static AlarmEvent sounding(AlarmEvent event) {
        return new AlarmEvent(
                event.alarm(),
                event.occurrence(),
                event.kind(),
                event.after(),
                event.active(),
                event.acknowledged(),
                event.confirmed(),
                event.latched(),
                event.enabled(),
                event.shelving(),
                event.shelvedFor(),
                event.suppressedByDesign(),
                event.outOfService(),
                event.reAlarms(),
                Annunciation.START,
                event.priority(),
                event.quality(),
                event.by(),
                event.text(),
                event.at());
    }

    static AlarmState forgetOccurrence(AlarmState state) {
        return new AlarmState(
                state.id(),
                state.enabled(),
                state.condition(),
                state.active(),
                state.acknowledged(),
                state.confirmed(),
                state.latched(),
                state.shelving(),
                state.suppression(),
                state.outOfService(),
                0,
                state.priority(),
                state.quality(),
                state.pending(),
                state.reAlarmAt(),
                state.reAlarms(),
                state.lastEvent(),
                state.acknowledgedEvent(),
                state.confirmedEvent(),
                state.activeSince());
    }
}
