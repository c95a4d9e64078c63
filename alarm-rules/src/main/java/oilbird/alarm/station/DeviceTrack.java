package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import oilbird.alarm.rule.StationFacts;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** One device: its requests and its signals. */
final class DeviceTrack {
    /** Its verification marks may change while it runs, with other rules; nothing else of it does. */
    StationFacts.Device facts;

    final Map<String, BlockTrack> blocks = new LinkedHashMap<>();
    final Map<String, ReadingTrack> readings = new LinkedHashMap<>();
    final Map<String, IndicationTrack> indications = new LinkedHashMap<>();
    final Map<String, StatusWordValue> words = new LinkedHashMap<>();
    /** Undocumented bits already told, by word. */
    final Map<String, Long> toldBits = new LinkedHashMap<>();

    boolean lost;
    boolean otherProduct;
    /** It answers, though nothing that can be used: another product, or nothing but exceptions. */
    boolean answersSomehow;

    boolean inMaintenance;

    /** Its own service indication holds, or held when it could last be told. */
    boolean serviced;
    /** What it tells is computed from what counts; no maintenance makes it tell of anything else. */
    boolean computed;
    /** Its connection is left to somebody else: nothing is read. */
    boolean released;

    private StationView.@Nullable DeviceView view;

    DeviceTrack(StationFacts.Device facts) {
        this.facts = facts;
    }

    /** Before other rules are put on the station. */
    void forgetAlarms() {
        for (ReadingTrack reading : readings.values()) {
            reading.supports.clear();
            reading.sampled.clear();
            reading.consulted.clear();
            if (reading.freshness != null) {
                reading.freshness.alarms.clear();
            }
        }
        for (IndicationTrack indication : indications.values()) {
            indication.sign = null;
            indication.supports.clear();
            indication.sampled.clear();
            indication.consulted.clear();
        }
    }

    void touched() {
        view = null;
    }

    /** Readings that cannot be trusted now, and why. */
    List<StationEvent.Doubt> doubts() {
        List<StationEvent.Doubt> found = new ArrayList<>();
        for (ReadingTrack reading : readings.values()) {
            for (DoubtTrack doubt : reading.doubts) {
                if (doubt.phase != DoubtTrack.Phase.NONE) {
                    found.add(new StationEvent.Doubt(reading.id, doubt.because.id, doubt.worthless));
                }
            }
        }
        return found;
    }

    /** What is known of it now, for the record. */
    DeviceSeen seen() {
        return new DeviceSeen(
                facts.id(),
                lost,
                blocks.values().stream()
                        .filter(b -> b.raw != null && b.rawAt != null)
                        .map(b -> new DeviceSeen.Answer(
                                b.name, Objects.requireNonNull(b.raw).text(), Objects.requireNonNull(b.rawAt)))
                        .toList(),
                words.values().stream()
                        .map(w -> new DeviceSeen.Word(w.id().name(), w.bits(), w.width(), w.at()))
                        .toList(),
                indications.values().stream()
                        .filter(i -> i.now.state() == IndicationState.HOLDS)
                        .map(i -> i.id.name())
                        .toList(),
                readings.values().stream()
                        .map(ReadingTrack::now)
                        .map(r -> new DeviceSeen.Value(r.id().name(), r.number(), r.text(), r.reason(), r.at()))
                        .toList());
    }

    StationView.DeviceView view() {
        StationView.DeviceView present = view;
        if (present == null) {
            List<StationView.TrustedReading> trusted = new ArrayList<>(readings.size());
            for (ReadingTrack reading : readings.values()) {
                trusted.add(new StationView.TrustedReading(
                        reading.outgoing(),
                        reading.doubts.stream()
                                .filter(d -> d.phase != DoubtTrack.Phase.NONE)
                                .map(d -> d.because.id)
                                .toList(),
                        reading.forced != null));
            }
            List<Indication> told = new ArrayList<>(indications.size());
            indications.values().forEach(i -> told.add(i.now));
            present = new StationView.DeviceView(facts.id(), lost, trusted, told, List.copyOf(words.values()));
            view = present;
        }
        return present;
    }
}
