package oilbird.acceptance;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;

/** A station folder with the demo station's maps, its gas monitors' rules, and gas monitors on the test's own ports. */
final class TestStation {
    private TestStation() {}

    /**
     * @param gasPorts port of each gas monitor, one transformer a port.
     */
    static Path write(Path folder, int brokerPort, List<Integer> gasPorts) throws IOException {
        copy(GatewayProcess.root().resolve("deploy/demo-station"), folder);
        Files.delete(folder.resolve("rules/cooling.yaml"));
        StringBuilder yaml = new StringBuilder("""
                station: 1
                id: windlow
                name: Windlow substation
                gateway: {id: windlow-gw1, name: Oilbird gateway}
                acknowledgement: here
                assets:
                """);
        for (int i = 1; i <= gasPorts.size(); i++) {
            yaml.append("  - {id: t%d, name: Transformer %d, kind: transformer}\n".formatted(i, i));
        }
        yaml.append("devices:\n");
        for (int i = 1; i <= gasPorts.size(); i++) {
            yaml.append("""
                      - id: gas-t%d
                        name: gas monitor
                        asset: t%d
                        map: hbg-8
                        modbus_tcp: {host: 127.0.0.1, port: %d, unit: 1, deadline: 900 ms}
                        poll: {status: 200 ms, readings: 500 ms}
                    """.formatted(i, i, gasPorts.get(i - 1)));
        }
        yaml.append("links:\n  - id: control-room\n    mqtt: {host: 127.0.0.1, port: %d, topic: oilbird/windlow}\n"
                .formatted(brokerPort));
        Files.writeString(folder.resolve("station.yaml"), yaml);
        return folder;
    }

    private static void copy(Path from, Path to) throws IOException {
        try (Stream<Path> paths = Files.walk(from)) {
            for (Path path : paths.toList()) {
                Path target = to.resolve(from.relativize(path).toString());
                if (Files.isDirectory(path)) {
                    Files.createDirectories(target);
                } else {
                    Files.copy(path, target);
                }
            }
        }
    }

    /** A gas monitor of type HBG-8 in good health, as its invented register list says. */
    static Monitor healthyGasMonitor() throws Exception {
        Monitor monitor = new Monitor();
        monitor.setInputRegister(0, HEALTHY);
        monitor.setInputRegister(1, 1);
        for (int gas = 2; gas <= 14; gas += 2) {
            monitor.setInputFloatLowWordFirst(gas, 20.0f);
        }
        monitor.setInputRegister(20, 215);
        monitor.setInputRegister(21, 275);
        monitor.setInputRegister(22, 2400);
        monitor.setInputRegister(23, 120);
        monitor.setInputRegister(24, 110);
        monitor.setInputRegister(25, 2400);
        for (int register = 30; register <= 37; register++) {
            monitor.setInputRegister(register, 0x3030);
        }
        return monitor;
    }

    /** Status word A: self-test passed (bit 14) and status valid (bit 15), nothing else. */
    static final int HEALTHY = 0xC000;
    /** With bit 0, the cabinet fan has stopped. */
    static final int FAN_STOPPED = HEALTHY | 1;
}
