package oilbird.benchmarks;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Conditions2008;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasIndices;
import oilbird.alarm.transformer.gas.GasMethods;
import oilbird.alarm.transformer.gas.GasReading;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.GuideStatus2019;
import oilbird.alarm.transformer.gas.MeasurementError;
import oilbird.alarm.transformer.gas.SampleSource;
import oilbird.alarm.transformer.verdict.CombinedVerdict;
import oilbird.alarm.transformer.verdict.VerdictSettings;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;
import org.openjdk.jmh.infra.Blackhole;

/**
 * Gas assessments a second on one core. Budget: 100,000 of all single methods, indices and levels; 1,000 with the
 * error cloud and the combined verdict. A thousand different samples in turn, so that no branch is learnt by heart.
 */
@State(Scope.Thread)
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 3, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(2)
public class GasAssessments {
    private static final int SAMPLES = 1_000;

    private final TransformerFacts facts = TransformerFacts.mineralOilTransformer();
    private final VerdictSettings settings = VerdictSettings.usual(facts);
    private final List<GasSample> samples = samples();
    private int next;

    private static List<GasSample> samples() {
        SplittableRandom random = new SplittableRandom(20261125);
        SampleSource source = new SampleSource("gas-t1", SampleSource.Origin.MONITOR, SensorKind.SEPARATE_GASES);
        List<GasSample> samples = new ArrayList<>();
        while (samples.size() < SAMPLES) {
            List<GasReading> readings = new ArrayList<>();
            for (Gas gas : Gas.values()) {
                readings.add(GasReading.ppm(gas, StrictMath.exp(random.nextDouble(0, 8))));
            }
            if (GasSample.of(Instant.parse("2026-01-01T00:00:00Z"), source, readings)
                    instanceof Finding.Told<GasSample> told) {
                samples.add(told.value());
            }
        }
        return samples;
    }

    private GasSample next() {
        next = next + 1 == SAMPLES ? 0 : next + 1;
        return samples.get(next);
    }

    /** Nine methods with their disputed cells, three indices, both guides' levels. */
    @Benchmark
    public void assessment(Blackhole out) {
        GasSample sample = next();
        out.consume(GasMethods.all(facts, sample, Choices.STANDING));
        levels(sample, out);
    }

    /** The same with the combined verdict over the error cloud. */
    @Benchmark
    public void assessmentWithErrorCloud(Blackhole out) {
        GasSample sample = next();
        out.consume(CombinedVerdict.of(facts, sample, settings));
        levels(sample, out);
    }

    private void levels(GasSample sample, Blackhole out) {
        out.consume(GasIndices.carbonOxides(facts, sample, Choices.STANDING));
        out.consume(GasIndices.oxygenNitrogen(facts, sample));
        out.consume(GasIndices.acetyleneHydrogen(facts, sample));
        out.consume(GuideStatus2019.of(facts, sample, null, List.of(), Choices.STANDING, MeasurementError.USUAL));
        out.consume(Conditions2008.of(facts, sample));
    }
}
