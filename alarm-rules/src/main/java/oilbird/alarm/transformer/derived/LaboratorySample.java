package oilbird.alarm.transformer.derived;

import oilbird.alarm.state.Actor;
import oilbird.alarm.transformer.gas.GasSample;

/**
 * An oil sample that a laboratory analysed, as a person entered it. Kept apart from the monitor's samples
 * everywhere; identified by laboratory and time of sampling.
 *
 * @param sample its source is the laboratory, its time that of sampling.
 * @param by who entered it.
 * @param enteredWallMillis when.
 * @param reference the laboratory's report number or the like; empty for none.
 */
public record LaboratorySample(GasSample sample, Actor by, long enteredWallMillis, String reference) {}
