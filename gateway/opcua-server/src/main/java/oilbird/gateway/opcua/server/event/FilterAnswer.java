package oilbird.gateway.opcua.server.event;

import java.util.Arrays;
import org.eclipse.milo.opcua.stack.core.types.builtin.DiagnosticInfo;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElementResult;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterResult;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilterResult;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;

/**
 * What is said of an event filter.
 *
 * @param status good where the item is watched; otherwise why it is not.
 * @param result for the client: one result a select clause, one an element of the where clause.
 */
public record FilterAnswer(StatusCode status, EventFilterResult result) {
    /** Every clause is good. */
    public static FilterAnswer allGood(EventFilter filter) {
        SimpleAttributeOperand[] select = filter.getSelectClauses();
        StatusCode[] selected = new StatusCode[select == null ? 0 : select.length];
        Arrays.fill(selected, StatusCode.GOOD);
        ContentFilterElement[] elements =
                filter.getWhereClause() == null ? null : filter.getWhereClause().getElements();
        ContentFilterElementResult[] where = new ContentFilterElementResult[elements == null ? 0 : elements.length];
        Arrays.fill(where, new ContentFilterElementResult(StatusCode.GOOD, new StatusCode[0], new DiagnosticInfo[0]));
        return new FilterAnswer(
                StatusCode.GOOD,
                new EventFilterResult(
                        selected, new DiagnosticInfo[0], new ContentFilterResult(where, new DiagnosticInfo[0])));
    }
}
