package oilbird.alarm.diagnosis;

import java.time.Duration;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** What is known of the station's signs and readings at a moment. */
public interface Evidence {
    Diagnosis.Told told(int sign);

    /** When the sign began to hold; null while it does not. */
    @Nullable
    Moment since(int sign);

    /** By how much earlier it may have begun: the period at which it is polled. */
    Duration uncertainty(int sign);

    /** True where the sign cannot be told now and is taken as it was last told. */
    boolean asLastTold(int sign);

    /** The number that a reading has now; null where it cannot be used as evidence. */
    @Nullable
    Double number(SignalId reading);

    /** Whether an indication holds; null where that cannot be told. */
    @Nullable
    Boolean holds(SignalId indication);
}
