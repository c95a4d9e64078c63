package oilbird.gateway.opcua.server.event;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;

/**
 * How many events may wait for one client's item.
 *
 * @param least what an item gets that asks for less: many clients ask for 1 by default, and would lose all but the
 *     last of a burst.
 * @param most what no item gets more than.
 */
public record EventQueues(int least, int most) {
    public static final EventQueues DEFAULT = new EventQueues(1_000, 10_000);

    UInteger revised(UInteger requested) {
        return uint((int) Math.max(least, Math.min(most, requested.longValue())));
    }
}
