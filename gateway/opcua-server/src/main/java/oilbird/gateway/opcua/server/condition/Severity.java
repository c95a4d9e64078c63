package oilbird.gateway.opcua.server.condition;

import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.Quality;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;

/** Our words in those of OPC UA (northbound mapping of the reference). */
final class Severity {
    private Severity() {}

    /** 1 to 1000; in five bands of two hundred, one for each of X.733's severities. */
    static int of(Priority priority) {
        return switch (priority) {
            case CRITICAL -> 901;
            case MAJOR -> 701;
            case MINOR -> 501;
            case WARNING -> 301;
        };
    }

    /** A point test is told as the readings' is: what it says is simulated. */
    static StatusCode of(Quality quality, boolean test) {
        if (test) {
            return new StatusCode(StatusCodes.Uncertain_SimulatedValue);
        }
        return switch (quality) {
            case GOOD -> StatusCode.GOOD;
            case UNCERTAIN -> new StatusCode(StatusCodes.Uncertain_DataSubNormal);
            case BAD -> new StatusCode(StatusCodes.Bad_NoCommunication);
        };
    }
}
