package oilbird.gateway.contract;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.record.SessionChain;
import oilbird.gateway.engine.record.SessionRow;
import org.jspecify.annotations.Nullable;

/**
 * A record of a guided fault-finding that has left the gateway, verified from what it carries: its rows by their chain,
 * and its readable steps and measurements by making them again from the rows.
 *
 * @param session its id; empty where it has none.
 * @param rows as it carries them.
 * @param seal hash of the newest row by its own content; empty where there is none.
 * @param findings what is wrong, in words; empty where nothing is.
 */
public record ExportedRecord(String session, List<SessionRow> rows, String seal, List<String> findings) {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final HexFormat HEX = HexFormat.of();

    public ExportedRecord {
        rows = List.copyOf(rows);
        findings = List.copyOf(findings);
    }

    /**
     * @param json UTF-8.
     * @throws IOException if it is no record of a fault-finding.
     */
    public static ExportedRecord verify(byte[] json) throws IOException {
        JsonNode record = JSON.readTree(json);
        if (record == null || !record.path("form").asText().equals(FaultFindingRecordForm.FORM)) {
            throw new IOException("this is no " + FaultFindingRecordForm.FORM);
        }
        List<SessionRow> rows = new ArrayList<>();
        for (JsonNode row : record.path("chain").path("rows")) {
            rows.add(new SessionRow(
                    row.path("position").asLong(),
                    row.path("body").asText().getBytes(StandardCharsets.UTF_8),
                    bytes(row.path("hash")),
                    bytes(row.path("recordPrevious")),
                    bytes(row.path("recordHash"))));
        }
        SessionChain.Walked walked = SessionChain.walk(rows);
        List<String> findings = new ArrayList<>(walked.findings());
        String seal =
                rows.isEmpty() ? "" : HEX.formatHex(rows.get(rows.size() - 1).hash());
        if (!record.path("chain").path("seal").asText().equals(seal)) {
            findings.add("the seal is not the hash of the newest row");
        }
        compare(record, walked.events(), findings);
        return new ExportedRecord(record.path("session").asText(), rows, seal, findings);
    }

    private static void compare(JsonNode record, List<RecordedEvent> events, List<String> findings) {
        String station = record.path("station").path("id").asText();
        List<FaultFindingEventForm> steps = events.stream()
                .map(e -> FaultFindingForms.event(station, e, (StationEvent.FaultFinding) e.event(), true))
                .toList();
        JsonNode told = record.path("steps");
        for (int i = 0; i < Math.max(told.size(), steps.size()); i++) {
            JsonNode made = i < steps.size() ? tree(steps.get(i)) : null;
            if (!told.path(i).equals(made)) {
                findings.add("step " + (i + 1) + " of the readable part does not say what its row says");
            }
        }
        if (!record.path("measurements").equals(tree(FaultFindingExport.measurements(steps)))) {
            findings.add("the measurements of the readable part are not those of the rows");
        }
        if (!steps.isEmpty()
                && !record.path("session").asText().equals(steps.get(0).session())) {
            findings.add("the rows belong to fault-finding " + steps.get(0).session());
        }
    }

    private static @Nullable JsonNode tree(Object form) {
        try {
            return JSON.readTree(Written.json(form));
        } catch (IOException e) {
            throw new IllegalStateException("a form that cannot be read again", e);
        }
    }

    private static byte[] bytes(JsonNode hex) {
        try {
            return HEX.parseHex(hex.asText());
        } catch (IllegalArgumentException e) {
            return new byte[0];
        }
    }
}
