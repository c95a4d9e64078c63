package oilbird.alarm.transformer.derived;

import java.util.List;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.heat.ThermalMemory;
import org.jspecify.annotations.Nullable;

/**
 * What the computations of one transformer remember beyond a restart: without its samples every rate would be
 * unknown for days and a laboratory sample could not be compared; without its heat memory the life used would be
 * counted anew and the hot spot be doubtful for hours.
 *
 * @param samples of the monitor, kept for trends.
 * @param laboratory in order of sampling.
 */
public record Kept(
        String asset,
        List<GasSample> samples,
        List<LaboratorySample> laboratory,
        @Nullable ThermalMemory heat) {
    public Kept {
        samples = List.copyOf(samples);
        laboratory = List.copyOf(laboratory);
    }

    public static Kept nothing(String asset) {
        return new Kept(asset, List.of(), List.of(), null);
    }

    /**
     * What changed of it, to be stored.
     *
     * @param heat null where it is not to be stored now.
     */
    public record Change(
            String asset,
            List<GasSample> added,
            List<GasSample> dropped,
            List<LaboratorySample> entered,
            List<LaboratorySample> withdrawn,
            @Nullable ThermalMemory heat) {
        public Change {
            added = List.copyOf(added);
            dropped = List.copyOf(dropped);
            entered = List.copyOf(entered);
            withdrawn = List.copyOf(withdrawn);
        }

        public boolean isEmpty() {
            return added.isEmpty() && dropped.isEmpty() && entered.isEmpty() && withdrawn.isEmpty() && heat == null;
        }
    }
}
