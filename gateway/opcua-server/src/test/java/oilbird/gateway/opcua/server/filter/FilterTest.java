package oilbird.gateway.opcua.server.filter;

import static oilbird.gateway.opcua.server.filter.FilterBuilder.element;
import static oilbird.gateway.opcua.server.filter.FilterBuilder.field;
import static oilbird.gateway.opcua.server.filter.FilterBuilder.literal;
import static oilbird.gateway.opcua.server.filter.FilterBuilder.where;
import static org.assertj.core.api.Assertions.assertThat;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;
import static org.junit.jupiter.api.Assertions.assertTimeout;

import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.atomic.AtomicInteger;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.encoding.DefaultEncodingContext;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.enumerated.FilterOperator;
import org.eclipse.milo.opcua.stack.core.types.structured.AttributeOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.RelativePath;
import org.eclipse.milo.opcua.stack.core.types.structured.RelativePathElement;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Operators, operands and mistakes of OPC 10000-4, 7.7 and 7.22.3. */
class FilterTest {
    private static @Nullable Object truth(String of) {
        return of.equals("N") ? null : (Object) of.equals("T");
    }

    private static boolean passes(CompiledFilter filter, @Nullable Object... fields) {
        assertThat(filter.status()).isEqualTo(StatusCode.GOOD);
        Map<String, Object> values = new HashMap<>();
        for (int i = 0; i < fields.length; i += 2) {
            Object value = fields[i + 1];
            if (value != null) {
                values.put(String.valueOf(fields[i]), value);
            }
        }
        return filter.passes(SmallTypes.event(NodeIds.AlarmConditionType, values));
    }

    /**
     * Truth tables of And and Or with NULL: OPC 10000-4, 7.7.3 (confidence: one source and memory; they are those of
     * Kleene's three-valued logic, as in SQL). The filter tells T, F and N apart by asking for the value, its negation, and
     * whether it is null.
     */
    @ParameterizedTest
    @CsvSource({"T,T,T,T", "T,F,F,T", "T,N,N,T", "F,T,F,T", "F,F,F,F", "F,N,F,N", "N,T,N,T", "N,F,F,N", "N,N,N,N"})
    void andAndOrHaveThreeValues(String a, String b, String and, String or) {
        for (FilterOperator operator : new FilterOperator[] {FilterOperator.And, FilterOperator.Or}) {
            String expected = operator == FilterOperator.And ? and : or;
            assertThat(passes(where(operator, field("A"), field("B")).compile(), "A", truth(a), "B", truth(b)))
                    .isEqualTo(expected.equals("T"));
            assertThat(passes(
                            where(FilterOperator.Not, element(1))
                                    .and(operator, field("A"), field("B"))
                                    .compile(),
                            "A",
                            truth(a),
                            "B",
                            truth(b)))
                    .isEqualTo(expected.equals("F"));
            assertThat(passes(
                            where(FilterOperator.IsNull, element(1))
                                    .and(operator, field("A"), field("B"))
                                    .compile(),
                            "A",
                            truth(a),
                            "B",
                            truth(b)))
                    .isEqualTo(expected.equals("N"));
        }
    }

    @Test
    void whatIsNoBooleanIsNull() {
        CompiledFilter not = where(FilterOperator.Not, field("A")).compile();
        assertThat(passes(not, "A", "text")).isFalse();
        assertThat(passes(not, "A", null)).isFalse();
        assertThat(passes(not, "A", false)).isTrue();
    }

    /** The library's own operators say the same of null: a second source. */
    @Test
    void aComparisonWithNullIsNeitherTrueNorFalse() {
        for (FilterOperator operator : new FilterOperator[] {
            FilterOperator.Equals, FilterOperator.GreaterThan, FilterOperator.LessThanOrEqual, FilterOperator.Like
        }) {
            assertThat(passes(where(operator, field("A"), literal("x")).compile()))
                    .isFalse();
            assertThat(passes(where(FilterOperator.Not, element(1))
                            .and(operator, field("A"), literal("x"))
                            .compile()))
                    .isFalse();
        }
    }

    /** 7.7.3, data type precedence: of two types the lower one is converted. */
    @Test
    void numbersOfDifferentTypesAreCompared() {
        CompiledFilter filter = where(FilterOperator.GreaterThanOrEqual, field("Severity"), literal(500))
                .compile();
        assertThat(passes(filter, "Severity", ushort(500))).isTrue();
        assertThat(passes(filter, "Severity", ushort(499))).isFalse();
        assertThat(passes(where(FilterOperator.Equals, field("A"), literal(2.5)).compile(), "A", 2.5f))
                .isTrue();
        assertThat(passes(where(FilterOperator.Equals, field("A"), literal(1)).compile(), "A", "one"))
                .isFalse();
        assertThat(passes(
                        where(FilterOperator.LessThan, field("A"), literal(uint(7)))
                                .compile(),
                        "A",
                        6L))
                .isTrue();
        assertThat(passes(
                        where(FilterOperator.Equals, field("A"), literal(Double.NaN))
                                .compile(),
                        "A",
                        Double.NaN))
                .isFalse();
    }

    @Test
    void betweenIncludesBothEnds() {
        CompiledFilter filter = where(FilterOperator.Between, field("A"), literal(3), literal(5))
                .compile();
        assertThat(passes(filter, "A", 2)).isFalse();
        assertThat(passes(filter, "A", 3)).isTrue();
        assertThat(passes(filter, "A", 5)).isTrue();
        assertThat(passes(filter, "A", 6)).isFalse();
    }

    @Test
    void inListIsEqualToOneOfTheOthers() {
        CompiledFilter filter = where(FilterOperator.InList, field("A"), literal(3), literal("x"), field("B"))
                .compile();
        assertThat(passes(filter, "A", 3)).isTrue();
        assertThat(passes(filter, "A", "x")).isTrue();
        assertThat(passes(filter, "A", 9, "B", 9)).isTrue();
        assertThat(passes(filter, "A", 9)).isFalse();
    }

    /** 7.7.3, wildcards of Like (the table's own examples are from memory; the rest follows from its words). */
    @ParameterizedTest
    @CsvSource({
        "Main%, Main tank, true",
        "Main%, main tank, false",
        "%en%, Open valve, true",
        "%en%, Shut valve, false",
        "T_e, Toe, true",
        "T_e, Tie, true",
        "T_e, Te, false",
        "Th[ia][ts]%, That is fine, true",
        "Th[ia][ts]%, This is fine, true",
        "Th[ia][ts]%, Then it is, false",
        "[a-c]_z, bxz, true",
        "[a-c]_z, dxz, false",
        "[^a-c]%, dog, true",
        "[^a-c]%, ant, false",
        "100\\%, 100%, true",
        "100\\%, 100 percent, false",
        "a\\_b, a_b, true",
        "a\\_b, axb, false",
        "a.b, axb, false",
        "a+, aa, false",
        "[]a]x, ]x, true"
    })
    void likeFollowsItsWildcards(String pattern, String text, boolean expected) {
        CompiledFilter filter =
                where(FilterOperator.Like, field("Message"), literal(pattern)).compile();
        assertThat(passes(filter, "Message", text)).isEqualTo(expected);
        assertThat(passes(filter, "Message", LocalizedText.english(text))).isEqualTo(expected);
    }

    @Test
    void aPatternThatDoesNotEndIsRefused() {
        for (String pattern : new String[] {"a[b", "a\\"}) {
            CompiledFilter filter = where(FilterOperator.Like, field("Message"), literal(pattern))
                    .compile();
            refused(filter, StatusCodes.Bad_FilterOperandInvalid, StatusCodes.Bad_FilterOperandInvalid, 1);
        }
    }

    @Test
    void ofTypeTakesTheTypeAndThoseBelow() {
        assertThat(passes(where(FilterOperator.OfType, literal(NodeIds.ConditionType))
                        .compile()))
                .isTrue();
        CompiledFilter filter = where(FilterOperator.OfType, literal(NodeIds.AlarmConditionType))
                .compile();
        assertThat(filter.passes(SmallTypes.event(NodeIds.AlarmConditionType, Map.of())))
                .isTrue();
        assertThat(filter.passes(SmallTypes.event(NodeIds.ConditionType, Map.of())))
                .isFalse();
    }

    @Test
    void castConvertsOrIsNull() {
        CompiledFilter filter = where(FilterOperator.Equals, element(1), literal(12))
                .and(FilterOperator.Cast, field("A"), literal(NodeIds.Int32))
                .compile();
        assertThat(passes(filter, "A", "12")).isTrue();
        assertThat(passes(filter, "A", "thirteen")).isFalse();
        CompiledFilter isNull = where(FilterOperator.IsNull, element(1))
                .and(FilterOperator.Cast, field("A"), literal(NodeIds.Byte))
                .compile();
        assertThat(passes(isNull, "A", 256)).isTrue();
        assertThat(passes(isNull, "A", 255)).isFalse();
    }

    @Test
    void bitwiseOperatorsWorkOnIntegers() {
        CompiledFilter and = where(FilterOperator.Equals, element(1), literal(uint(4)))
                .and(FilterOperator.BitwiseAnd, field("A"), literal(uint(12)))
                .compile();
        assertThat(passes(and, "A", uint(6))).isTrue();
        assertThat(passes(and, "A", uint(8))).isFalse();
        CompiledFilter or = where(FilterOperator.Equals, element(1), literal(7))
                .and(FilterOperator.BitwiseOr, field("A"), literal(1))
                .compile();
        assertThat(passes(or, "A", 6)).isTrue();
        assertThat(passes(or, "A", 6.0)).isFalse();
    }

    /** Annex B of OPC 10000-4, example 1: (A = 5 or B in 3, 5, 7) and name like Main%. */
    @Test
    void theFirstExampleOfAnnexBIsEvaluated() {
        CompiledFilter filter = where(FilterOperator.And, element(1), element(4))
                .and(FilterOperator.Or, element(2), element(3))
                .and(FilterOperator.Equals, field("A"), literal(5))
                .and(FilterOperator.InList, field("B"), literal(3), literal(5), literal(7))
                .and(FilterOperator.Like, field("Message"), literal("Main%"))
                .compile();
        assertThat(passes(filter, "A", 5, "B", 1, "Message", "Main tank")).isTrue();
        assertThat(passes(filter, "A", 4, "B", 7, "Message", "Main tank")).isTrue();
        assertThat(passes(filter, "A", 4, "B", 7, "Message", "Tank")).isFalse();
        assertThat(passes(filter, "A", 4, "B", 8, "Message", "Main tank")).isFalse();
    }

    @Test
    void anAttributeOperandIsTheSameAsItsSimpleForm() {
        AttributeOperand operand = new AttributeOperand(
                NodeIds.BaseEventType,
                null,
                new RelativePath(new RelativePathElement[] {
                    new RelativePathElement(NodeIds.HasProperty, false, true, new QualifiedName(0, "Severity"))
                }),
                AttributeId.Value.uid(),
                null);
        assertThat(passes(
                        where(FilterOperator.Equals, operand, literal(ushort(7)))
                                .compile(),
                        "Severity",
                        ushort(7)))
                .isTrue();
    }

    private static void refused(CompiledFilter filter, long element, long operand, int place) {
        assertThat(filter.status()).isEqualTo(new StatusCode(StatusCodes.Bad_EventFilterInvalid));
        var result =
                Objects.requireNonNull(filter.result().getWhereClauseResult().getElementResults())[0];
        assertThat(result.getStatusCode()).isEqualTo(new StatusCode(element));
        if (place >= 0) {
            assertThat(Objects.requireNonNull(result.getOperandStatusCodes())[place])
                    .isEqualTo(new StatusCode(operand));
        }
    }

    /** 7.7.2, result codes of a content filter. */
    @Test
    void aMistakeInAWhereClauseHasItsOwnStatus() {
        refused(
                where(FilterOperator.InView, literal(NodeIds.Server)).compile(),
                StatusCodes.Bad_FilterOperatorUnsupported,
                0,
                -1);
        refused(
                where(FilterOperator.RelatedTo, literal(1), literal(2)).compile(),
                StatusCodes.Bad_FilterOperatorUnsupported,
                0,
                -1);
        refused(where(FilterOperator.Equals, field("A")).compile(), StatusCodes.Bad_FilterOperandCountMismatch, 0, -1);
        refused(
                where(FilterOperator.Not, field("A"), field("B")).compile(),
                StatusCodes.Bad_FilterOperandCountMismatch,
                0,
                -1);
        refused(where(FilterOperator.IsNull).compile(), StatusCodes.Bad_FilterOperandCountMismatch, 0, -1);
        refused(
                where(FilterOperator.And, field("A"), element(3)).compile(),
                StatusCodes.Bad_FilterElementInvalid,
                StatusCodes.Bad_FilterElementInvalid,
                1);
        // an element that refers to itself or back would never end
        refused(
                where(FilterOperator.Not, element(0)).compile(),
                StatusCodes.Bad_FilterElementInvalid,
                StatusCodes.Bad_FilterElementInvalid,
                0);
        refused(
                where(FilterOperator.Equals, field("NoSuchField"), literal(1)).compile(),
                StatusCodes.Bad_NodeIdUnknown,
                StatusCodes.Bad_NodeIdUnknown,
                0);
        refused(
                where(FilterOperator.OfType, literal(NodeIds.Server)).compile(),
                StatusCodes.Bad_FilterOperandInvalid,
                StatusCodes.Bad_FilterOperandInvalid,
                0);
        refused(
                where(FilterOperator.Cast, field("A"), literal("Int32")).compile(),
                StatusCodes.Bad_FilterOperandInvalid,
                StatusCodes.Bad_FilterOperandInvalid,
                1);
    }

    @Test
    void anOperandThatIsNoneIsRefused() {
        ContentFilterElement broken = new ContentFilterElement(FilterOperator.Not, new ExtensionObject[] {
            ExtensionObject.encode(
                    DefaultEncodingContext.INSTANCE,
                    new RelativePathElement(NodeIds.HasProperty, false, true, new QualifiedName(0, "x")))
        });
        CompiledFilter filter = CompiledFilter.of(
                new EventFilter(
                        new SimpleAttributeOperand[] {field("EventId")},
                        new ContentFilter(new ContentFilterElement[] {broken})),
                new SmallTypes(),
                DefaultEncodingContext.INSTANCE);
        refused(filter, StatusCodes.Bad_FilterOperandInvalid, StatusCodes.Bad_FilterOperandInvalid, 0);
    }

    /** 7.22.3: a field that no event can have is null, and the result says why; the others come. */
    @Test
    void anUnknownFieldIsNullWithItsStatusAndTheOthersCome() {
        CompiledFilter filter = new FilterBuilder()
                .compile(
                        field("Severity"),
                        field("NoSuchField"),
                        field(NodeIds.Server, "Severity"),
                        field(NodeIds.ConditionType, "ActiveState/Id"),
                        field(NodeIds.AlarmConditionType, "ActiveState/Id"),
                        field(NodeIds.AlarmConditionType, "Severity"),
                        new SimpleAttributeOperand(
                                NodeIds.ConditionType, new QualifiedName[0], AttributeId.NodeId.uid(), null),
                        new SimpleAttributeOperand(
                                NodeIds.ConditionType, new QualifiedName[0], AttributeId.Value.uid(), null));
        assertThat(filter.status()).isEqualTo(StatusCode.GOOD);
        assertThat(filter.result().getSelectClauseResults())
                .extracting(StatusCode::value)
                .containsExactly(
                        StatusCode.GOOD.value(),
                        StatusCodes.Bad_NodeIdUnknown,
                        StatusCodes.Bad_TypeDefinitionInvalid,
                        StatusCodes.Bad_NodeIdUnknown,
                        StatusCode.GOOD.value(),
                        StatusCode.GOOD.value(),
                        StatusCode.GOOD.value(),
                        StatusCodes.Bad_AttributeIdInvalid);
        Variant[] fields = filter.fields(
                SmallTypes.event(NodeIds.AlarmConditionType, Map.of("Severity", ushort(7), "ActiveState/Id", true)));
        assertThat(fields)
                .extracting(Variant::value)
                .containsExactly(ushort(7), null, null, null, true, ushort(7), new NodeId(1, "condition"), null);
    }

    @Test
    void aFieldOfATypeThatTheEventIsNotIsNull() {
        CompiledFilter filter = new FilterBuilder().compile(field(NodeIds.AlarmConditionType, "Severity"));
        assertThat(filter.fields(SmallTypes.event(NodeIds.BaseEventType, Map.of("Severity", ushort(7))))[0].value())
                .isNull();
    }

    @Test
    void anIndexRangeTakesPartOfAnArray() {
        SimpleAttributeOperand second = new SimpleAttributeOperand(
                NodeIds.BaseEventType,
                new QualifiedName[] {new QualifiedName(0, "Names")},
                AttributeId.Value.uid(),
                "1");
        SimpleAttributeOperand ofScalar = new SimpleAttributeOperand(
                NodeIds.BaseEventType,
                new QualifiedName[] {new QualifiedName(0, "Severity")},
                AttributeId.Value.uid(),
                "1");
        CompiledFilter filter = new FilterBuilder().compile(second, ofScalar);
        assertThat(Objects.requireNonNull(filter.result().getSelectClauseResults())[1])
                .isEqualTo(new StatusCode(StatusCodes.Bad_IndexRangeInvalid));
        assertThat(filter
                        .fields(SmallTypes.event(NodeIds.BaseEventType, Map.of("Names", new String[] {"a", "b", "c"})))[
                        0]
                        .value())
                .isEqualTo(new String[] {"b"});
        assertThat(
                        filter.fields(SmallTypes.event(NodeIds.BaseEventType, Map.of("Names", new String[] {"a"})))[0]
                                .value())
                .isNull();
    }

    /** Elements may share others: evaluated one by one a chain of a hundred would take 2 to the power of 100 steps. */
    @Test
    void anElementIsEvaluatedOnceHoweverManyReferToIt() {
        FilterBuilder builder = new FilterBuilder();
        for (int i = 0; i < 99; i++) {
            builder.and(FilterOperator.And, element(i + 1), element(i + 1));
        }
        CompiledFilter filter =
                builder.and(FilterOperator.Equals, field("A"), literal(1)).compile();
        AtomicInteger asked = new AtomicInteger();
        FilteredEvent event = new FilteredEvent() {
            @Override
            public NodeId type() {
                return NodeIds.BaseEventType;
            }

            @Override
            public Object value(String path) {
                asked.incrementAndGet();
                return 1;
            }

            @Override
            public @Nullable NodeId node(String path) {
                return null;
            }
        };
        assertThat(filter.passes(event)).isTrue();
        assertThat(asked).hasValue(1);
    }

    @Test
    void aHostilePatternCostsNoMoreThanItsLength() {
        CompiledFilter filter = where(FilterOperator.Like, field("Message"), literal("%a".repeat(450) + "b"))
                .compile();
        assertTimeout(
                Duration.ofSeconds(5),
                () -> assertThat(passes(filter, "Message", "a".repeat(20_000))).isFalse());
    }

    @Test
    void aFilterThatIsTooBigIsRefused() {
        FilterBuilder builder = new FilterBuilder();
        for (int i = 0; i < 101; i++) {
            builder.and(FilterOperator.IsNull, field("A"));
        }
        assertThat(builder.compile().status()).isEqualTo(new StatusCode(StatusCodes.Bad_EventFilterInvalid));
    }

    @Test
    void aFilterThatSelectsNothingIsRefused() {
        assertThat(new FilterBuilder().compile(new SimpleAttributeOperand[0]).status())
                .isEqualTo(new StatusCode(StatusCodes.Bad_EventFilterInvalid));
    }
}
