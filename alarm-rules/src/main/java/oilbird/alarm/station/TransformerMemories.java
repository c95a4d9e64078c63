package oilbird.alarm.station;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.state.Actor;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.derived.Kept;
import oilbird.alarm.transformer.derived.LaboratorySample;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.SampleSource;
import oilbird.alarm.transformer.heat.ThermalMemory;
import oilbird.alarm.transformer.heat.ThermalState;
import org.jspecify.annotations.Nullable;

/** What the computations of transformers remember, as pieces to be stored: one a sample, one for the heat equations. */
final class TransformerMemories {
    private static final String SAMPLE = "sample ";
    private static final String LABORATORY = "laboratory ";
    private static final String HEAT = "heat ";

    private TransformerMemories() {}

    /** Whether a piece of that key was entered by a person. */
    static boolean ofLaboratory(String key) {
        return key.startsWith(LABORATORY);
    }

    static boolean of(String asset, String key) {
        return key.startsWith(SAMPLE + asset + " ")
                || key.startsWith(LABORATORY + asset + " ")
                || key.equals(HEAT + asset);
    }

    private static String key(String kind, String asset, GasSample sample) {
        return kind + asset + " " + sample.at().toEpochMilli() + " "
                + sample.source().id();
    }

    static List<Remembered> pieces(Kept.Change change) {
        List<Remembered> pieces = new ArrayList<>();
        change.dropped().forEach(s -> pieces.add(Remembered.nothing(key(SAMPLE, change.asset(), s), false)));
        change.added().forEach(s -> pieces.add(sample(key(SAMPLE, change.asset(), s), s)));
        change.withdrawn()
                .forEach(l -> pieces.add(Remembered.nothing(key(LABORATORY, change.asset(), l.sample()), true)));
        change.entered().forEach(l -> pieces.add(laboratory(key(LABORATORY, change.asset(), l.sample()), l)));
        ThermalMemory heat = change.heat();
        if (heat != null) {
            pieces.add(heat(HEAT + change.asset(), heat));
        }
        return pieces;
    }

    static Kept kept(String asset, List<Remembered> pieces) {
        List<GasSample> samples = new ArrayList<>();
        List<LaboratorySample> laboratory = new ArrayList<>();
        ThermalMemory heat = null;
        for (Remembered piece : pieces) {
            try {
                if (piece.key().startsWith(SAMPLE)) {
                    samples.add(sample(piece, SampleSource.Origin.MONITOR, 0));
                } else if (piece.key().startsWith(LABORATORY)) {
                    laboratory.add(laboratory(piece));
                } else {
                    heat = heat(piece);
                }
            } catch (IllegalArgumentException | IndexOutOfBoundsException ofAnotherVersion) {
                // One sample less is better than a gateway that does not start.
                continue;
            }
        }
        samples.sort(Comparator.comparing(GasSample::at));
        laboratory.sort(Comparator.comparing(l -> l.sample().at()));
        return new Kept(asset, samples, laboratory, heat);
    }

    // ---- samples: texts source, sensor, then a gas and how its number is meant; numbers time, then one a gas

    private static Remembered sample(String key, GasSample sample) {
        return piece(key, sample, List.of(), false);
    }

    private static Remembered piece(String key, GasSample sample, List<String> texts, boolean atOnce) {
        List<String> words = new ArrayList<>(texts);
        words.add(sample.source().id());
        words.add(sample.source().sensor().name());
        List<Double> numbers = new ArrayList<>();
        numbers.add((double) sample.at().toEpochMilli());
        sample.gases().forEach((gas, known) -> {
            words.add(gas.name() + " " + meaning(known));
            numbers.add(known instanceof Concentration.BelowDetection below ? below.limitPpm() : known.nominalPpm());
        });
        sample.leftOut().forEach((gas, why) -> words.add(gas.name() + " " + why.name()));
        return new Remembered(key, words, List.of(), numbers, atOnce);
    }

    private static String meaning(Concentration known) {
        if (known instanceof Concentration.BelowDetection) {
            return "below";
        }
        return known instanceof Concentration.Saturated ? "saturated" : "measured";
    }

    private static GasSample sample(Remembered piece, SampleSource.Origin origin, int from) {
        List<String> texts = piece.texts();
        Map<Gas, Concentration> gases = new EnumMap<>(Gas.class);
        Map<Gas, Why> leftOut = new EnumMap<>(Gas.class);
        int number = 1;
        for (String text : texts.subList(from + 2, texts.size())) {
            int space = text.indexOf(' ');
            Gas gas = Gas.valueOf(text.substring(0, space));
            Concentration known = concentration(text.substring(space + 1), piece, number);
            if (known == null) {
                leftOut.put(gas, Why.valueOf(text.substring(space + 1)));
            } else {
                gases.put(gas, known);
                number++;
            }
        }
        return new GasSample(
                Instant.ofEpochMilli(piece.numbers().get(0).longValue()),
                new SampleSource(texts.get(from), origin, SensorKind.valueOf(texts.get(from + 1))),
                gases,
                leftOut,
                List.of());
    }

    private static @Nullable Concentration concentration(String meaning, Remembered piece, int number) {
        return switch (meaning) {
            case "measured" -> new Concentration.Measured(piece.numbers().get(number));
            case "below" -> new Concentration.BelowDetection(piece.numbers().get(number));
            case "saturated" -> new Concentration.Saturated(piece.numbers().get(number));
            default -> null;
        };
    }

    // ---- laboratory: texts name, door, reference, time of entry before those of a sample

    private static Remembered laboratory(String key, LaboratorySample entered) {
        return piece(
                key,
                entered.sample(),
                List.of(
                        entered.by().name(),
                        entered.by().door(),
                        entered.reference(),
                        Long.toString(entered.enteredWallMillis())),
                true);
    }

    private static LaboratorySample laboratory(Remembered piece) {
        List<String> texts = piece.texts();
        return new LaboratorySample(
                sample(piece, SampleSource.Origin.LABORATORY, 4),
                new Actor(texts.get(0), texts.get(1)),
                Long.parseLong(texts.get(3)),
                texts.get(2));
    }

    // ---- heat

    private static Remembered heat(String key, ThermalMemory memory) {
        List<Double> numbers = new ArrayList<>();
        for (Instant instant : List.of(memory.at(), memory.loadKnownAt(), memory.ambientKnownAt())) {
            numbers.add((double) instant.toEpochMilli());
        }
        for (ThermalState state : List.of(memory.state(), memory.low(), memory.high())) {
            numbers.addAll(List.of(state.topOil(), state.fastGradient(), state.slowGradient()));
        }
        numbers.addAll(List.of(
                memory.load(),
                memory.ambient(),
                memory.lifeUsed(),
                memory.lifeLow(),
                memory.lifeHigh(),
                memory.elapsedMinutes(),
                memory.gapMinutes()));
        return new Remembered(key, List.of(), List.of(), numbers, false);
    }

    private static ThermalMemory heat(Remembered piece) {
        List<Double> n = piece.numbers();
        return new ThermalMemory(
                Instant.ofEpochMilli(n.get(0).longValue()),
                new ThermalState(n.get(3), n.get(4), n.get(5)),
                new ThermalState(n.get(6), n.get(7), n.get(8)),
                new ThermalState(n.get(9), n.get(10), n.get(11)),
                n.get(12),
                n.get(13),
                Instant.ofEpochMilli(n.get(1).longValue()),
                Instant.ofEpochMilli(n.get(2).longValue()),
                n.get(14),
                n.get(15),
                n.get(16),
                n.get(17),
                n.get(18));
    }
}
