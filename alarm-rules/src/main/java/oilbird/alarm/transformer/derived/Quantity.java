package oilbird.alarm.transformer.derived;

import java.util.List;
import java.util.Locale;
import java.util.Optional;
import oilbird.alarm.transformer.gas.Gas;
import org.jspecify.annotations.Nullable;

/**
 * What a point of a monitor may feed into the computations of its asset.
 *
 * <p>Semantic names are data objects of the logical nodes of IEC 61850-7-4 (SIML insulating medium, YPTR
 * transformer, CCGR cooling group, MMXU measurement, MENV environment), from memory.
 */
public enum Quantity {
    HYDROGEN(Gas.H2, "ppm", "SIML.H2ppm"),
    METHANE(Gas.CH4, "ppm", "SIML.CH4ppm"),
    ETHANE(Gas.C2H6, "ppm", "SIML.C2H6ppm"),
    ETHYLENE(Gas.C2H4, "ppm", "SIML.C2H4ppm"),
    ACETYLENE(Gas.C2H2, "ppm", "SIML.C2H2ppm"),
    CARBON_MONOXIDE(Gas.CO, "ppm", "SIML.COppm"),
    CARBON_DIOXIDE(Gas.CO2, "ppm", "SIML.CO2ppm"),
    OXYGEN(Gas.O2, "ppm", "SIML.O2ppm"),
    NITROGEN(Gas.N2, "ppm", "SIML.N2ppm"),
    /** Relative saturation of the oil at the probe. */
    WATER_SATURATION(null, "%", "SIML.H2O"),
    /** Temperature of the oil at the moisture probe. */
    WATER_PROBE_TEMPERATURE(null, "degC", "SIML.H2OTmp"),
    /** Water content by mass, where the monitor gives that instead. */
    WATER_CONTENT(null, "mg/kg", "SIML.H2Oppm"),
    /** Top oil in the main tank. */
    TOP_OIL(null, "degC", "SIML.Tmp", "YPTR.TopOilTmp"),
    BOTTOM_OIL(null, "degC", "YPTR.BotOilTmp", "CCGR.OilTmpIn"),
    /** Of the cooling air. */
    AMBIENT(null, "degC", "CCGR.EnvTmp", "MENV.AmbTmp", "MMET.EnvTmp"),
    /** Load current in amperes of the winding whose rated current the asset states. */
    LOAD_CURRENT(null, "A", "CCGR.Load", "MMXU.A", "YPTR.LodA"),
    /** Load as a factor of rated. */
    LOAD_FACTOR(null, "p.u.", "YPTR.LodFact");

    private final @Nullable Gas gas;
    private final String unit;
    private final List<String> semantics;

    Quantity(@Nullable Gas gas, String unit, String... semantics) {
        this.gas = gas;
        this.unit = unit;
        this.semantics = List.of(semantics);
    }

    /** The gas, or null for a quantity that is none. */
    public @Nullable Gas gas() {
        return gas;
    }

    /** The unit in which it is computed. */
    public String unit() {
        return unit;
    }

    /** Semantic names of points that feed it unless the station file names one. */
    public List<String> semantics() {
        return semantics;
    }

    /** The key in a station file. */
    public String key() {
        return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** The quantity whose point is not told by a name of another logical node instance: {@code SIML1.H2ppm} too. */
    public static Optional<Quantity> ofSemantic(String semantic) {
        String plain = semantic.replaceFirst("^([A-Z]{4})[0-9]+\\.", "$1.");
        for (Quantity quantity : values()) {
            if (quantity.semantics.contains(plain)) {
                return Optional.of(quantity);
            }
        }
        return Optional.empty();
    }

    /**
     * What a value in a unit of the device map is multiplied by to be in {@link #unit()}.
     *
     * @return empty for a unit that cannot be turned into it.
     */
    public Optional<Double> factor(String from) {
        if (from.equals(unit)) {
            return Optional.of(1.0);
        }
        return switch (unit + " <- " + from) {
            case "ppm <- %" -> Optional.of(10_000.0);
            case "ppm <- ppb" -> Optional.of(0.001);
            // Water in oil is told in parts by mass, whatever the device calls them.
            case "mg/kg <- ppm" -> Optional.of(1.0);
            case "A <- kA" -> Optional.of(1_000.0);
            case "A <- mA" -> Optional.of(0.001);
            case "p.u. <- %" -> Optional.of(0.01);
            default -> Optional.empty();
        };
    }
}
