package oilbird.alarm.transformer.gas;

/**
 * The multi-point rate of one gas as IEEE C57.104-2019 wants it: a straight line through 3 to 6 samples over
 * 4 to 24 months.
 *
 * @param ppmPerYear slope of the line.
 * @param standardError of the slope in ppm a year.
 * @param months from the first to the last sample.
 */
public record GuideRate(Gas gas, double ppmPerYear, double standardError, int samples, double months) {}
