package oilbird.alarm.diagnosis;

/**
 * How often something occurs.
 *
 * @param perYear on one device or asset; more than 0.
 * @param origin where the figure comes from: {@code estimate, common practice}.
 */
public record Rate(double perYear, String origin) {}
