package oilbird.alarm.transformer.gas;

/**
 * How far a stated concentration may be from the true one: a uniform band of {@code relative} of the value
 * from ten detection limits up, {@code nearLimit} of it below, and never less than {@code floorLimits}
 * detection limits (reference figures of IEC 60567 and CIGRE TB 409, confidence M).
 *
 * @param relative for example 0.15.
 * @param nearLimit for example 0.30.
 * @param floorLimits smallest half-width in detection limits of the gas.
 */
public record MeasurementError(double relative, double nearLimit, double floorLimits) {
    /** 15 %, 30 % below ten detection limits, at least one detection limit. */
    public static final MeasurementError USUAL = new MeasurementError(0.15, 0.30, 1);

    public MeasurementError {
        if (!(relative >= 0 && relative < 1 && nearLimit >= 0 && nearLimit < 1 && floorLimits >= 0)) {
            throw new IllegalArgumentException("an error band is a share from 0 to 1");
        }
    }

    /** Half the width of the band in ppm around a concentration of the gas. */
    public double halfWidth(Gas gas, double ppm) {
        double share = ppm >= 10 * gas.detectionLimitPpm() ? relative : nearLimit;
        return Math.max(share * ppm, floorLimits * gas.detectionLimitPpm());
    }
}
