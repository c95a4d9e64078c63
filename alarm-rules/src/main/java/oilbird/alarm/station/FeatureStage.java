package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.PriorityQueue;
import java.util.function.Consumer;
import oilbird.alarm.evidence.Learnt;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/** The stage between what was received and trust: features make indications out of readings. */
final class FeatureStage {
    private final Deadlines deadlines;
    private final Consumer<IndicationTrack> made;
    private final Memories memories;
    private final PriorityQueue<FeatureTrack> queue = new PriorityQueue<>(Comparator.comparingInt(f -> f.order));

    /**
     * @param made takes each indication that was made anew.
     * @param memories give back what features learnt before a restart, and keep what they learn.
     * @throws IllegalArgumentException if a feature looks at what the station does not have, or features look at
     *     each other in a circle.
     */
    FeatureStage(
            Map<String, DeviceTrack> devices,
            Deadlines deadlines,
            List<Timed> timed,
            Consumer<IndicationTrack> made,
            Memories memories) {
        this.deadlines = deadlines;
        this.made = made;
        this.memories = memories;
        Map<IndicationTrack, FeatureTrack> makers = new LinkedHashMap<>();
        for (DeviceTrack device : devices.values()) {
            for (Feature feature : device.facts.kind().features()) {
                FeatureTrack track = new FeatureTrack(
                        feature, known(device.indications.get(feature.indication()), feature), deadlines.newOwner());
                timed.add(track);
                makers.put(track.made, track);
                Learnt before = memories.learntBefore(track.made.id);
                if (before != null) {
                    track.watch.goOnFrom(before);
                }
                track.watch
                        .points()
                        .forEach(p -> track.readings.add(
                                known(of(devices, device, p).readings.get(p.name()), p)));
                track.watch
                        .indications()
                        .forEach(i -> track.indications.add(
                                known(of(devices, device, i).indications.get(i.name()), i)));
                feature.despite()
                        .forEach(i -> track.despite.add(
                                known(of(devices, device, i).indications.get(i.name()), i)));
                track.readings.forEach(r -> r.features.add(track));
                track.indications.forEach(i -> i.features.add(track));
            }
        }
        List<FeatureTrack> ordered = new ArrayList<>();
        makers.values().forEach(f -> order(f, makers, ordered, new ArrayList<>()));
        for (int i = 0; i < ordered.size(); i++) {
            ordered.get(i).order = i;
        }
    }

    private static DeviceTrack of(Map<String, DeviceTrack> devices, DeviceTrack own, Feature.Source source) {
        return source.device().isEmpty() ? own : known(devices.get(source.device()), source);
    }

    private static <T> T known(@Nullable T found, Object what) {
        if (found == null) {
            throw new IllegalArgumentException("the station has nothing for " + what);
        }
        return found;
    }

    private static void order(
            FeatureTrack feature,
            Map<IndicationTrack, FeatureTrack> makers,
            List<FeatureTrack> ordered,
            List<FeatureTrack> above) {
        if (ordered.contains(feature)) {
            return;
        }
        if (above.contains(feature)) {
            throw new IllegalArgumentException("features look at each other in a circle: " + feature.made.id);
        }
        above.add(feature);
        for (IndicationTrack input : feature.indications) {
            FeatureTrack maker = makers.get(input);
            if (maker != null) {
                order(maker, makers, ordered, above);
            }
        }
        above.remove(feature);
        ordered.add(feature);
    }

    void sampled(ReadingTrack reading) {
        for (int i = 0; i < reading.features.size(); i++) {
            FeatureTrack feature = reading.features.get(i);
            for (int input = 0; input < feature.sampled.length; input++) {
                feature.sampled[input] |= feature.readings.get(input) == reading;
            }
            queue(feature);
        }
    }

    void queue(List<FeatureTrack> news) {
        for (int i = 0; i < news.size(); i++) {
            queue(news.get(i));
        }
    }

    void queue(FeatureTrack feature) {
        if (!feature.queued) {
            feature.queued = true;
            queue.add(feature);
        }
    }

    /** Works off what is queued, in an order in which no feature has to be asked twice. */
    void settle(Moment at) {
        for (FeatureTrack next = queue.poll(); next != null; next = queue.poll()) {
            next.queued = false;
            tell(next, at);
            made.accept(next.made);
        }
    }

    private void tell(FeatureTrack feature, Moment at) {
        long now = at.monotonicNanos();
        for (int i = 0; i < feature.indications.size(); i++) {
            feature.watch.told(i, now, feature.indications.get(i).now.state());
        }
        for (int i = 0; i < feature.readings.size(); i++) {
            ReadingTrack reading = feature.readings.get(i);
            feature.watch.read(i, now, number(reading, feature), reading.reasonFor(feature), feature.sampled[i]);
            feature.sampled[i] = false;
        }
        IndicationState state = feature.watch.tell(now);
        Learnt learnt = feature.watch.takeLearnt();
        if (learnt != null) {
            memories.learnt(feature.made.id, learnt);
        }
        IndicationTrack indication = feature.made;
        indication.raw = state == IndicationState.CANNOT_BE_TOLD
                ? Indication.cannotBeTold(indication.id, feature.watch.reason(), at)
                : Indication.of(indication.id, state == IndicationState.HOLDS, at);
        deadlines.set(feature.timer, feature.watch.wakeAt(now));
    }

    /** Where any number counts, only one that was just received by itself does. */
    private static double number(ReadingTrack reading, FeatureTrack feature) {
        Double number = reading.raw.number();
        boolean received = !feature.watch.takesAnyNumber()
                || (reading.block.failure == QualityReason.NONE
                        && !reading.device.inMaintenance
                        && !reading.madeInMaintenance());
        return number == null || !received ? Double.NaN : number;
    }
}
