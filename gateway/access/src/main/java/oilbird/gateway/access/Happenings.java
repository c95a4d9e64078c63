package oilbird.gateway.access;

import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;

/** Where what happens in access is told, to be recorded. Must not block. */
@FunctionalInterface
public interface Happenings {
    /**
     * @param about the user or token; empty where nobody is known.
     * @param times more than 1 for a sum.
     */
    void tell(Kind kind, String about, Actor by, String address, String text, long times);
}
