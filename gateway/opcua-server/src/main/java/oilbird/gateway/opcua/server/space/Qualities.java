package oilbird.gateway.opcua.server.space;

import oilbird.mapping.signal.QualityReason;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;

/**
 * Status codes of values, by why a value is not good.
 *
 * @see <a href="https://reference.opcfoundation.org/Core/Part8/v105/docs/6.3">OPC UA Part 8, 6.3</a>
 */
public final class Qualities {
    /** Of a value that a point test forces. */
    public static final StatusCode TEST = new StatusCode(StatusCodes.Uncertain_SimulatedValue);

    private Qualities() {}

    /** Of what cannot be told: bad, whatever the reason. */
    static StatusCode untold(QualityReason reason) {
        StatusCode code = of(reason);
        return code.isBad() ? code : new StatusCode(StatusCodes.Bad_NoValue);
    }

    /** The severity is that of the reason; the code is the nearest that the standard has. */
    public static StatusCode of(QualityReason reason) {
        return new StatusCode(
                switch (reason) {
                    case NONE -> StatusCodes.Good;
                    case NOT_YET_READ, NOT_YET_KNOWN -> StatusCodes.Bad_WaitingForInitialData;
                    case UNREACHABLE, STALE -> StatusCodes.Bad_NoCommunication;
                    case REFUSED_BY_DEVICE, DECLARED_INVALID, WORTHLESS, INVALID_ANSWER ->
                        StatusCodes.Bad_DeviceFailure;
                    case NO_VALUE, NOT_A_NUMBER, LOOP_FAILED, LOOP_FAILED_HIGH -> StatusCodes.Bad_SensorFailure;
                    case OUTSIDE_RANGE -> StatusCodes.Bad_OutOfRange;
                    case DECLARED_BAD -> StatusCodes.Bad_NoValue;
                    case MADE_IN_MAINTENANCE, RELEASED -> StatusCodes.Bad_OutOfService;
                    case OTHER_PRODUCT -> StatusCodes.Bad_ConfigurationError;
                    case NO_INPUT, NOT_COVERED, TOO_LITTLE_DATA, NO_CLEAR_ANSWER -> StatusCodes.Bad_NotSupported;
                    case SATURATED -> StatusCodes.Uncertain_EngineeringUnitsExceeded;
                    case DECLARED_UNCERTAIN, DOUBTFUL, FOREIGN_TRAFFIC -> StatusCodes.Uncertain_SensorNotAccurate;
                    case OTHER_FIRMWARE -> StatusCodes.Uncertain_ConfigurationError;
                    case IN_MAINTENANCE -> StatusCodes.Uncertain_SensorCalibration;
                    case HANGS_ON_DISPUTED, CHANGES_WITHIN_ERROR, INPUT_GAP -> StatusCodes.Uncertain_SubNormal;
                });
    }
}
