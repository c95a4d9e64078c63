package oilbird.gateway.opcua.server.condition;

import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.Map;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;

/** Properties that our condition types add to the standard's, in the types' namespace. */
enum OwnField {
    LIKELY_CAUSE("LikelyCause", NodeIds.LocalizedText, false, "What most likely causes it; annotates, never hides."),
    DIAGNOSIS_ID("DiagnosisId", NodeIds.String, false, "Id of the open diagnosis that it belongs to; empty for none."),
    FIRST_CHECKS(
            "FirstChecks",
            NodeIds.LocalizedText,
            true,
            "What to look at first, each with its exposure and cautions. The owner's rules and local codes prevail."),
    CHECKS_WITHDRAWN(
            "ChecksWithdrawn", NodeIds.UInt16, false, "How many checks are left out because people are to keep away."),
    KEEP_AWAY("KeepAway", NodeIds.LocalizedText, true, "From what people are to keep away; empty for nothing."),
    TRUST("Trust", NodeIds.LocalizedText, false, "Whether the readings can still be trusted."),
    READINGS_TRUSTED("ReadingsTrusted", NodeIds.Boolean, false, "False while one of them cannot."),
    TROUBLE(
            "Trouble",
            NodeIds.LocalizedText,
            false,
            "Whose trouble it is: transformer, monitor, way between, gateway."),
    CALL("Call", NodeIds.LocalizedText, false, "Whom to call."),
    RESPONSE("Response", NodeIds.LocalizedText, false, "What the operator does."),
    TIME_TO_RESPOND("TimeToRespond", NodeIds.Duration, false, "Time before the consequence, in ms; null for none."),
    EVENT_ID_TEXT("EventIdText", NodeIds.String, false, "EventId as text, as every other link writes it."),
    OCCURRENCE("Occurrence", NodeIds.UInt32, false, "Counter of activations; never resets."),
    EVIDENCE("Evidence", NodeIds.String, false, "What the last evaluation saw."),
    ACTED_BY("ActedBy", NodeIds.String, false, "Who or what brought the event about; empty for the gateway itself."),
    UNDER_TEST("UnderTest", NodeIds.Boolean, false, "True while a point test forces it: nothing has happened."),
    MAINTENANCE(
            "Maintenance", NodeIds.LocalizedText, false, "Who maintains what, why and until when; null for nothing."),
    ALSO_HARDWIRED("AlsoHardwired", NodeIds.Boolean, false, "A hardwired alarm or trip announces the same."),
    TIME_TRUSTED("TimeTrusted", NodeIds.Boolean, false, "False while the gateway's clock is not known to be right.");

    private static final Map<String, OwnField> BY_NAME = new LinkedHashMap<>();

    static {
        Arrays.stream(values()).forEach(field -> BY_NAME.put(field.browseName, field));
    }

    private final String browseName;
    private final NodeId dataType;
    private final boolean array;
    private final String says;

    OwnField(String browseName, NodeId dataType, boolean array, String says) {
        this.browseName = browseName;
        this.dataType = dataType;
        this.array = array;
        this.says = says;
    }

    static @org.jspecify.annotations.Nullable OwnField named(String name) {
        return BY_NAME.get(name);
    }

    String browseName() {
        return browseName;
    }

    NodeId dataType() {
        return dataType;
    }

    boolean array() {
        return array;
    }

    String says() {
        return says;
    }
}
