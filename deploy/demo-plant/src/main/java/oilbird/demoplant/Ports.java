package oilbird.demoplant;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.stream.Collectors;

/** The ports of the plant by name: its devices and lines, {@code mqtt} and {@code http}. */
final class Ports {
    static final String MQTT = "mqtt";
    static final String HTTP = "http";

    private static final int HIGHEST = 65_535;

    private Ports() {}

    /** The ports of the demo station. */
    static Map<String, Integer> standard() {
        Map<String, Integer> ports = new LinkedHashMap<>();
        ports.put("gas-t1", 15_021);
        ports.put("cooling-t1", 15_022);
        ports.put("gas-t2", 15_023);
        ports.put("cooling-t2", 15_024);
        ports.put("gateway-t3", 15_025);
        ports.put("moisture-t1", 15_031);
        ports.put("bushing-t2", 15_032);
        ports.put(MQTT, 15_883);
        ports.put(HTTP, 15_080);
        return ports;
    }

    /**
     * Reads {@code 0} (all ports any free one) or {@code name=number,name=number} over the standard ports.
     *
     * @throws UsageException when a name or number is none
     */
    static Map<String, Integer> parse(String text) throws UsageException {
        Map<String, Integer> ports = standard();
        if (text.equals("0")) {
            ports.replaceAll((name, port) -> 0);
            return ports;
        }
        for (String part : text.split(",", -1)) {
            String[] sides = part.split("=", -1);
            if (sides.length != 2 || !ports.containsKey(sides[0])) {
                throw new UsageException("--ports takes 0, or NAME=NUMBER,... with the names "
                        + String.join(", ", ports.keySet()) + "; not \"" + part + "\"");
            }
            ports.put(sides[0], port(sides[1]));
        }
        return ports;
    }

    /** Reads one port number, 0 to 65535. */
    static int port(String text) throws UsageException {
        try {
            int port = Integer.parseInt(text);
            if (port >= 0 && port <= HIGHEST) {
                return port;
            }
        } catch (NumberFormatException notANumber) {
            // told below, together with numbers that are no port
        }
        throw new UsageException("a port is 0 to " + HIGHEST + ", not \"" + text + "\"");
    }

    /** One line for programs: {@code plant-ports gas-t1=15021 ...}. */
    static String line(Map<String, Integer> ports) {
        return "plant-ports "
                + ports.entrySet().stream()
                        .map(port -> port.getKey() + "=" + port.getValue())
                        .collect(Collectors.joining(" "));
    }
}
