package oilbird.mapping.draft;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.map.Unit;
import oilbird.mapping.text.YamlText;

/**
 * A first device map, made from what an OPC UA server shows of itself.
 *
 * @param yaml text of the map; empty where nothing was found that a map can use. Nothing in it is verified.
 * @param remarks what the server does not say, and what was left out.
 * @param points that were drafted, those of words not counted.
 * @param words that were drafted.
 */
public record BrowseDraft(String yaml, List<String> remarks, int points, int words) {
    private static final Pattern MAY_BE_A_WORD =
            Pattern.compile("(?i).*(status|state|alarm|fault|flags|warning|error|word).*");

    public BrowseDraft {
        remarks = List.copyOf(remarks);
    }

    /**
     * Drafts a map.
     *
     * @param server as the user would write its address.
     * @param mapName name for the map.
     * @param variables in the order in which they were found.
     */
    public static BrowseDraft of(String server, String mapName, List<FoundVariable> variables) {
        return new Drafting(server, mapName).draft(variables);
    }

    private static final class Drafting {
        private final String server;
        private final String mapName;
        private final UniqueNames names = new UniqueNames();
        private final UniqueNames namespaceNames = new UniqueNames();
        private final Map<String, String> namespaces = new LinkedHashMap<>();
        private final List<String> remarks = new ArrayList<>();
        private final StringBuilder points = new StringBuilder();
        private final StringBuilder words = new StringBuilder();
        private final StringBuilder indications = new StringBuilder();
        private int pointCount;
        private int wordCount;

        Drafting(String server, String mapName) {
            this.server = server;
            this.mapName = mapName;
        }

        BrowseDraft draft(List<FoundVariable> variables) {
            for (FoundVariable variable : variables) {
                if (!variable.readable()) {
                    remark(variable, "may not be read by this user; left out");
                } else if (!variable.scalar() || variable.kind() == FoundVariable.Kind.OTHER) {
                    remark(
                            variable,
                            "is " + (variable.scalar() ? "of the type " : "an array of ") + variable.type()
                                    + ", which a map cannot say; left out");
                } else if (variable.kind() == FoundVariable.Kind.TRUTH) {
                    word(variable);
                } else {
                    point(variable);
                }
            }
            if (pointCount + wordCount == 0) {
                return new BrowseDraft("", remarks, 0, 0);
            }
            return new BrowseDraft(yaml(), remarks, pointCount, wordCount);
        }

        private void remark(FoundVariable variable, String what) {
            remarks.add(String.join("/", variable.path()) + " " + what);
        }

        private void point(FoundVariable variable) {
            pointCount++;
            String name = names.of(variable.path().get(variable.path().size() - 1));
            points.append("  ").append(name).append(":\n");
            points.append("    # ")
                    .append(YamlText.comment(String.join("/", variable.path())))
                    .append(" (")
                    .append(YamlText.comment(variable.type()))
                    .append(")\n");
            line(points, "    text: " + YamlText.of(DraftText.shortened(variable.text())));
            line(points, "    node: " + YamlText.of(node(variable.name())));
            switch (variable.kind()) {
                case TEXT -> line(points, "    type: text");
                case TIME -> line(points, "    type: date-time");
                case ENUMERATION ->
                    remark(variable, "is an enumeration; to name its values describe it as a word with a field");
                case WHOLE -> {
                    if (MAY_BE_A_WORD
                            .matcher(variable.path().get(variable.path().size() - 1))
                            .matches()) {
                        remark(variable, "may be a word of bits; if so, describe it under words");
                    }
                }
                default -> {}
            }
            boolean numeric = variable.kind() == FoundVariable.Kind.WHOLE || variable.kind() == FoundVariable.Kind.REAL;
            if (numeric) {
                unit(variable);
                range(variable);
            }
            line(points, "    poll: readings");
        }

        private void unit(FoundVariable variable) {
            String given = variable.unit();
            Optional<String> unit = given == null ? Optional.empty() : Unit.meant(given);
            if (unit.isPresent()) {
                line(points, "    unit: " + YamlText.of(unit.get()));
            } else if (given != null && !given.isBlank()) {
                remark(variable, "has the unit " + YamlText.comment(given) + ", which is not known; left out");
            } else if (variable.kind() == FoundVariable.Kind.REAL) {
                remark(variable, "has no unit; add it where there is one");
            }
        }

        private void range(FoundVariable variable) {
            Double low = variable.low();
            Double high = variable.high();
            if (low != null && high != null && Double.isFinite(low) && Double.isFinite(high) && low < high) {
                line(points, "    range: [" + plain(low) + ", " + plain(high) + "]");
            } else if (variable.kind() == FoundVariable.Kind.REAL) {
                remark(variable, "has no range; add the plausible one");
            }
        }

        private static String plain(double value) {
            return new BigDecimal(value)
                    .round(MathContext.DECIMAL32)
                    .stripTrailingZeros()
                    .toPlainString();
        }

        private void word(FoundVariable variable) {
            wordCount++;
            String wanted = variable.path().get(variable.path().size() - 1);
            String indication = names.of(wanted);
            line(words, "  " + names.of(wanted + "-bit") + ":");
            line(words, "    # " + YamlText.comment(String.join("/", variable.path())));
            line(words, "    text: " + YamlText.of(DraftText.shortened(variable.text())));
            line(words, "    node: " + YamlText.of(node(variable.name())));
            line(words, "    width: 1");
            line(words, "    bits: {0: " + indication + "}");
            line(indications, "  " + indication + ":");
            line(indications, "    text: " + YamlText.of(DraftText.shortened(variable.text())));
        }

        private String node(NodeName name) {
            if (name.namespace().equals(NodeName.STANDARD)) {
                return name.id();
            }
            String shortName = namespaces.computeIfAbsent(name.namespace(), uri -> namespaceNames.of(lastPart(uri)));
            return shortName + ":" + name.id();
        }

        /** Of {@code urn:someone:mtm-2} or {@code http://someone/mtm-2/} the part {@code mtm-2}. */
        private static String lastPart(String uri) {
            String[] parts = uri.split("[:/]+");
            String last = parts.length == 0 ? "ns" : parts[parts.length - 1];
            return last.length() > 20 ? last.substring(0, 20) : last;
        }

        private String yaml() {
            StringBuilder yaml = new StringBuilder();
            line(
                    yaml,
                    "# Drafted from the OPC UA server " + YamlText.comment(server)
                            + ". Nothing in it is verified yet.");
            line(yaml, "device_map: 1");
            line(yaml, "name: " + mapName);
            line(yaml, "text: " + YamlText.of(mapName));
            line(yaml, "opc_ua:");
            if (!namespaces.isEmpty()) {
                line(yaml, "  namespaces:");
                namespaces.forEach((uri, name) -> line(yaml, "    " + name + ": " + YamlText.of(uri)));
            }
            line(yaml, "  by: subscription");
            line(yaml, "poll_classes:");
            line(yaml, "  status: 1 s");
            line(yaml, "  readings: 5 s");
            section(yaml, "points", points);
            section(yaml, "words", words);
            section(yaml, "indications", indications);
            return yaml.toString();
        }

        private static void section(StringBuilder yaml, String name, StringBuilder lines) {
            if (!lines.isEmpty()) {
                line(yaml, "");
                line(yaml, name + ":");
                yaml.append(lines);
            }
        }

        private static void line(StringBuilder yaml, String line) {
            yaml.append(line).append('\n');
        }
    }
}
