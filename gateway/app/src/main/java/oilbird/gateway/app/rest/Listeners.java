package oilbird.gateway.app.rest;

import jakarta.inject.Singleton;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessTable;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Caller;
import oilbird.gateway.app.door.CurrentCaller;
import oilbird.gateway.app.live.LiveChannel;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.AccessEventForm;
import oilbird.gateway.contract.EventForm;

/** What those who read the record or listen to it may see of it. */
@Singleton
public class Listeners {
    private final Access access;
    private final CurrentCaller current;

    public Listeners(Gateway gateway, CurrentCaller current) {
        this.access = gateway.access();
        this.current = current;
    }

    /** Whether the present caller may see an event. */
    boolean maySee(EventForm form) {
        return maySee(current.get(), form);
    }

    private boolean maySee(Caller caller, EventForm form) {
        return !(form instanceof AccessEventForm) || may(caller, Action.SEE_ACCESS);
    }

    private boolean may(Caller caller, Action action) {
        return access.table().answer(caller, action) == AccessTable.Answer.ALLOWED;
    }

    /** The present caller as a listener: proved anew again and again, since sessions and tokens end. */
    LiveChannel.Listening listening() {
        String address = current.get().address();
        String session = current.session();
        String bearer = current.bearer();
        return new LiveChannel.Listening() {
            @Override
            public boolean stillAllowed() {
                return may(now(), Action.VIEW);
            }

            @Override
            public boolean mayHear(EventForm form) {
                return maySee(now(), form);
            }

            private Caller now() {
                return access.caller(address, session, bearer);
            }
        };
    }
}
