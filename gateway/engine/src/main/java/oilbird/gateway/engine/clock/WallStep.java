package oilbird.gateway.engine.clock;

import oilbird.mapping.signal.Moment;

/**
 * A jump of the wall clock against the monotonic clock.
 *
 * @param stepMillis how far the wall clock jumped; negative when it was set back.
 * @param seenAt the first moment after the jump.
 */
public record WallStep(long stepMillis, Moment seenAt) {}
