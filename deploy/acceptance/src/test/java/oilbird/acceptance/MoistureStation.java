package oilbird.acceptance;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/** A station of one transformer with one moisture monitor over OPC UA, all invented. */
final class MoistureStation {
    private MoistureStation() {}

    /**
     * Writes the station folder.
     *
     * @param opcUa how the monitor is reached, as a flow mapping.
     * @param points of the map, each on a line of its own.
     * @param links the list of links.
     */
    static Path write(Path station, String opcUa, String points, String links) throws IOException {
        Files.createDirectories(station.resolve("maps"));
        Files.createDirectories(station.resolve("rules"));
        Files.writeString(station.resolve("station.yaml"), """
                station: 1
                id: windlow
                name: Windlow substation
                gateway: {id: windlow-gw1, name: Oilbird gateway}
                assets:
                  - {id: t1, name: Transformer 1, kind: transformer}
                devices:
                  - id: moisture-t1
                    name: moisture monitor
                    asset: t1
                    map: mtm-2
                    opc_ua: %s
                links: %s
                """.formatted(opcUa, links));
        Files.writeString(station.resolve("maps/mtm-2.yaml"), """
                device_map: 1
                name: mtm-2
                text: moisture monitor (invented)
                identification: {vendor: Someone (invented), product: MTM-2, firmware: ["3.*"]}
                opc_ua:
                  namespaces: {m: "urn:windlow:test-monitor"}
                poll_classes: {status: 300 ms}
                verified: {by: integrator (invented), on: 2026-03-02}
                points:
                %s
                words:
                  status: {text: status, node: m:s=Status, width: 16, bits: {0: probe-fault}}
                indications:
                  probe-fault: {text: probe fault}
                """.formatted(
                        points.indent(2).stripTrailing()));
        Files.writeString(station.resolve("rules/moisture.yaml"), """
                alarm_rules: 1
                text: Moisture monitors
                owner: Substation asset engineer (invented)
                rationalized: {by: Alarm review group (invented), on: 2026-09-14, revision: "1"}
                first_checks:
                  see-display:
                    exposure: 0
                    action: On the screen, look what else the monitor says of its probe.
                    outcomes: [{found: nothing else, means: "call the monitor technician"}]
                rules:
                  probe-fault:
                    for: {map: mtm-2}
                    when: {indication: probe-fault}
                    says: "the {device}'s probe has failed"
                    says_after: "the {device}'s probe works again"
                    class: instrument-diagnostic
                    priority: minor
                    causes: [probe, its cable]
                    confirm: the monitor's own display shows the same
                    consequence: Water in the oil is not seen.
                    response: Call the monitor technician.
                    respond_within: 1 d
                    call: monitor technician
                    first_checks: [see-display]
                """);
        return station;
    }
}
