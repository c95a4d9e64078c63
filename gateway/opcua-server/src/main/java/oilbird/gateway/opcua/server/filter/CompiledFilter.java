package oilbird.gateway.opcua.server.filter;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaRuntimeException;
import org.eclipse.milo.opcua.stack.core.encoding.EncodingContext;
import org.eclipse.milo.opcua.stack.core.types.builtin.DiagnosticInfo;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExpandedNodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.enumerated.FilterOperator;
import org.eclipse.milo.opcua.stack.core.types.structured.AttributeOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElementResult;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterResult;
import org.eclipse.milo.opcua.stack.core.types.structured.ElementOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilterResult;
import org.eclipse.milo.opcua.stack.core.types.structured.LiteralOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.RelativePathElement;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.jspecify.annotations.Nullable;

/**
 * A client's event filter, looked at once. Immutable, thread-safe.
 *
 * <p>Clauses that select what no event can have are allowed: their field is null in every event, and the result says
 * why (7.22.3). A where clause with a mistake is refused whole, since it would pass other events than its client meant.
 *
 * @param status good, or why nothing can be watched with it.
 * @param result one status a select clause, one an element of the where clause.
 */
public record CompiledFilter(
        StatusCode status,
        EventFilterResult result,
        EventTypes types,
        List<Selected> select,
        @Nullable Condition where) {
    /** What a client may ask for at once, so that nobody spends the server's time with one filter. */
    private static final int MOST_CLAUSES = 200;

    private static final int MOST_ELEMENTS = 100;
    private static final int MOST_OPERANDS = 1_000;

    private static final StatusCode GOOD = StatusCode.GOOD;
    private static final @Nullable Object[] NOTHING = {};
    private static final StatusCode[] NO_STATUS = {};
    private static final DiagnosticInfo[] NO_DIAGNOSTICS = {};

    /** One select clause. */
    public static final class Selected {
        private final FieldOperand field;

        private Selected(FieldOperand field) {
            this.field = field;
        }
    }

    /** The elements of a where clause; the first is the whole, and each refers to later ones only. */
    public static final class Condition {
        private final Element[] elements;

        private Condition(Element[] elements) {
            this.elements = elements;
        }

        private @Nullable Object valueOf(FilteredEvent event, EventTypes types) {
            Object[] values = new Object[elements.length];
            for (int i = elements.length - 1; i >= 0; i--) {
                values[i] = elements[i].valueOf(event, types, values);
            }
            return values[0];
        }
    }

    /** Looks a filter over. */
    public static CompiledFilter of(EventFilter filter, EventTypes types, EncodingContext encoding) {
        SimpleAttributeOperand[] clauses =
                Objects.requireNonNullElse(filter.getSelectClauses(), new SimpleAttributeOperand[0]);
        ContentFilterElement[] elements = filter.getWhereClause() == null
                ? new ContentFilterElement[0]
                : Objects.requireNonNullElse(filter.getWhereClause().getElements(), new ContentFilterElement[0]);
        if (clauses.length == 0) {
            return refused(StatusCodes.Bad_EventFilterInvalid, NO_STATUS, new ContentFilterElementResult[0], types);
        }
        if (clauses.length > MOST_CLAUSES || elements.length > MOST_ELEMENTS || operands(elements) > MOST_OPERANDS) {
            return refused(StatusCodes.Bad_EventFilterInvalid, NO_STATUS, new ContentFilterElementResult[0], types);
        }
        List<Selected> select = new ArrayList<>();
        StatusCode[] selected = new StatusCode[clauses.length];
        for (int i = 0; i < clauses.length; i++) {
            FieldOperand field = FieldOperand.of(clauses[i], types);
            select.add(new Selected(field));
            selected[i] = field.status();
        }
        Review review = new Review(elements, types, encoding);
        if (!review.good) {
            return refused(StatusCodes.Bad_EventFilterInvalid, selected, review.results, types);
        }
        Condition where = elements.length == 0 ? null : new Condition(review.compiled);
        return new CompiledFilter(GOOD, result(selected, review.results), types, List.copyOf(select), where);
    }

    private static int operands(ContentFilterElement[] elements) {
        int all = 0;
        for (ContentFilterElement element : elements) {
            all += element.getFilterOperands() == null ? 0 : element.getFilterOperands().length;
        }
        return all;
    }

    private static CompiledFilter refused(
            long status, StatusCode[] selected, ContentFilterElementResult[] elements, EventTypes types) {
        return new CompiledFilter(new StatusCode(status), result(selected, elements), types, List.of(), null);
    }

    private static EventFilterResult result(StatusCode[] selected, ContentFilterElementResult[] elements) {
        return new EventFilterResult(selected, NO_DIAGNOSTICS, new ContentFilterResult(elements, NO_DIAGNOSTICS));
    }

    /** True if the event is for this client; what is neither true nor false is not. */
    public boolean passes(FilteredEvent event) {
        return where == null || Boolean.TRUE.equals(where.valueOf(event, types));
    }

    /** The fields that the client selects, null for those that the event does not have. */
    public Variant[] fields(FilteredEvent event) {
        Variant[] fields = new Variant[select.size()];
        for (int i = 0; i < fields.length; i++) {
            Object value = select.get(i).field.valueOf(event, types, NOTHING);
            fields[i] = value == null ? Variant.NULL_VALUE : new Variant(value);
        }
        return fields;
    }

    /** Compiles a where clause from its last element to its first, since an element refers to later ones only. */
    private static final class Review {
        private final ContentFilterElementResult[] results;
        private final Element[] compiled;
        private final EventTypes types;
        private final EncodingContext encoding;
        private final int length;
        private boolean good = true;

        Review(ContentFilterElement[] elements, EventTypes types, EncodingContext encoding) {
            this.types = types;
            this.encoding = encoding;
            this.length = elements.length;
            results = new ContentFilterElementResult[length];
            compiled = new Element[length];
            for (int i = length - 1; i >= 0; i--) {
                results[i] = element(i, elements[i]);
                good &= results[i].getStatusCode().isGood();
            }
        }

        private ContentFilterElementResult element(int index, ContentFilterElement element) {
            FilterOperator operator = element.getFilterOperator();
            if (operator == null) {
                return answer(StatusCodes.Bad_FilterOperatorInvalid, NO_STATUS);
            }
            if (operator == FilterOperator.InView || operator == FilterOperator.RelatedTo) {
                return answer(StatusCodes.Bad_FilterOperatorUnsupported, NO_STATUS);
            }
            ExtensionObject[] written = Objects.requireNonNullElse(element.getFilterOperands(), new ExtensionObject[0]);
            if (!takes(operator, written.length)) {
                return answer(StatusCodes.Bad_FilterOperandCountMismatch, NO_STATUS);
            }
            StatusCode[] statuses = new StatusCode[written.length];
            List<Operand> operands = new ArrayList<>();
            for (int i = 0; i < written.length; i++) {
                Object operand = decoded(written[i]);
                statuses[i] = new StatusCode(status(operand, index));
                Operand ready = statuses[i].isGood() ? ready(operand) : new Operand.Literal(null);
                if (statuses[i].isGood() && !fits(operator, i, ready)) {
                    statuses[i] = new StatusCode(StatusCodes.Bad_FilterOperandInvalid);
                }
                operands.add(prepared(operator, i, ready));
            }
            compiled[index] = new Element(operator, List.copyOf(operands));
            boolean allGood = Arrays.stream(statuses).allMatch(StatusCode::isGood);
            return allGood
                    ? new ContentFilterElementResult(GOOD, NO_STATUS, NO_DIAGNOSTICS)
                    : answer(firstBad(statuses), statuses);
        }

        private static ContentFilterElementResult answer(long status, StatusCode[] operands) {
            return new ContentFilterElementResult(new StatusCode(status), operands, NO_DIAGNOSTICS);
        }

        private static long firstBad(StatusCode[] statuses) {
            return Arrays.stream(statuses)
                    .filter(StatusCode::isBad)
                    .findFirst()
                    .orElse(GOOD)
                    .value();
        }

        /** Extra operands are a mistake for every operator (7.7.1). */
        private static boolean takes(FilterOperator operator, int operands) {
            return switch (operator) {
                case IsNull, Not, OfType -> operands == 1;
                case Between -> operands == 3;
                case InList -> operands >= 2;
                default -> operands == 2;
            };
        }

        private @Nullable Object decoded(@Nullable ExtensionObject operand) {
            try {
                return operand == null ? null : operand.decode(encoding);
            } catch (UaRuntimeException e) {
                return null;
            }
        }

        private long status(@Nullable Object operand, int index) {
            if (operand instanceof LiteralOperand) {
                return GOOD.value();
            }
            if (operand instanceof ElementOperand of) {
                long to = of.getIndex() == null ? -1 : of.getIndex().longValue();
                return to > index && to < length ? GOOD.value() : StatusCodes.Bad_FilterElementInvalid;
            }
            if (operand instanceof SimpleAttributeOperand simple) {
                return FieldOperand.of(simple, types).status().value();
            }
            if (operand instanceof AttributeOperand attribute) {
                SimpleAttributeOperand simple = simple(attribute);
                return simple == null
                        ? StatusCodes.Bad_FilterOperandInvalid
                        : FieldOperand.of(simple, types).status().value();
            }
            return StatusCodes.Bad_FilterOperandInvalid;
        }

        private Operand ready(@Nullable Object operand) {
            if (operand instanceof LiteralOperand literal) {
                return new Operand.Literal(
                        literal.getValue() == null ? null : literal.getValue().value());
            }
            if (operand instanceof ElementOperand of) {
                return new Operand.OfElement(of.getIndex().intValue());
            }
            if (operand instanceof AttributeOperand attribute) {
                return FieldOperand.of(Objects.requireNonNull(simple(attribute)), types);
            }
            return FieldOperand.of((SimpleAttributeOperand) Objects.requireNonNull(operand), types);
        }

        /** The same field; null where the path is none of hierarchical references forwards, which events do not have. */
        private static @Nullable SimpleAttributeOperand simple(AttributeOperand operand) {
            RelativePathElement[] path = operand.getBrowsePath() == null
                    ? null
                    : operand.getBrowsePath().getElements();
            List<QualifiedName> names = new ArrayList<>();
            for (RelativePathElement step : path == null ? new RelativePathElement[0] : path) {
                if (Boolean.TRUE.equals(step.getIsInverse()) || step.getTargetName() == null) {
                    return null;
                }
                names.add(step.getTargetName());
            }
            return new SimpleAttributeOperand(
                    operand.getNodeId(),
                    names.toArray(QualifiedName[]::new),
                    operand.getAttributeId(),
                    operand.getIndexRange());
        }

        /** Types are named by literals; a pattern that is a literal must be one. */
        private boolean fits(FilterOperator operator, int place, Operand operand) {
            if (operator == FilterOperator.OfType) {
                NodeId type = operand instanceof Operand.Literal literal ? local(literal.value()) : null;
                return type != null && types.isEventType(type);
            }
            if (operator == FilterOperator.Cast && place == 1) {
                return operand instanceof Operand.Literal literal && local(literal.value()) != null;
            }
            if (operator == FilterOperator.Like && place == 1 && operand instanceof Operand.Literal literal) {
                String like = literal.value() == null ? null : Comparison.text(literal.value());
                return like != null && LikePattern.compile(like) != null;
            }
            return true;
        }

        private Operand prepared(FilterOperator operator, int place, Operand operand) {
            if (operand instanceof Operand.Literal literal && literal.value() != null) {
                if (operator == FilterOperator.Like && place == 1) {
                    String like = Comparison.text(literal.value());
                    return new Operand.Literal(like == null ? null : LikePattern.compile(like));
                }
                if (operator == FilterOperator.OfType || (operator == FilterOperator.Cast && place == 1)) {
                    return new Operand.Literal(local(literal.value()));
                }
            }
            return operand;
        }

        private @Nullable NodeId local(@Nullable Object value) {
            if (value instanceof NodeId id) {
                return id;
            }
            return value instanceof ExpandedNodeId expanded
                    ? expanded.toNodeId(encoding.getNamespaceTable()).orElse(null)
                    : null;
        }
    }
}
