package oilbird.gateway.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.Priority;
import oilbird.gateway.contract.MessageText;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.record.RecordBound;
import oilbird.gateway.station.StationFile.AssetEntry;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/** Reads what every link of the station file may say, whatever its protocol, and the bound of the event record. */
final class LinkManners {
    private static final Map<String, Long> UNITS = Map.of("kB", 1_000L, "MB", 1_000_000L, "GB", 1_000_000_000L);
    /** Beyond this the oldest rows of a flood might go before a link had a chance. */
    private static final long LEAST_RECORD = 64_000_000L;

    private LinkManners() {}

    static LinkManner of(YamlMapping link, List<AssetEntry> assets) {
        YamlMapping only = link.mapping("only");
        LinkFilter filter = new LinkFilter(
                assets(only, assets),
                choices(only, "priorities", Priority.class),
                choices(only, "classes", AlarmClass.class),
                choices(only, "kinds", LinkFilter.Kind.class));
        return new LinkManner(filter, message(link), link.has("bytes_a_day") ? size(link, "bytes_a_day") : 0);
    }

    static RecordBound bound(YamlMapping record) {
        long atMost = record.has("at_most") ? size(record, "at_most") : RecordBound.DEFAULT.atMostBytes();
        if (atMost > 0 && atMost < LEAST_RECORD) {
            record.problems()
                    .error(
                            record.valuePosition("at_most"),
                            "an event record of " + atMost + " bytes would lose events before anybody has read them",
                            "write 64 MB or more");
        }
        Duration keep = record.duration("keep", RecordBound.DEFAULT.keep());
        return new RecordBound(atMost, keep);
    }

    private static List<String> assets(YamlMapping only, List<AssetEntry> known) {
        List<String> names = new ArrayList<>(known.stream().map(AssetEntry::id).toList());
        names.add(StationFile.GATEWAY);
        List<String> wanted = new ArrayList<>();
        for (YamlNode item : only.list("assets").items()) {
            String asset = item.asText();
            if (!names.contains(asset)) {
                only.problems()
                        .error(
                                item.position(),
                                "there is no asset `" + asset + "`",
                                "write one of " + String.join(", ", names));
            }
            wanted.add(asset);
        }
        return wanted;
    }

    /** What the schema does not let through is told by the schema. */
    private static <E extends Enum<E>> Set<E> choices(YamlMapping only, String key, Class<E> of) {
        Set<E> chosen = EnumSet.noneOf(of);
        for (YamlNode item : only.list(key).items()) {
            String written = item.asText().toUpperCase(Locale.ROOT).replace('-', '_');
            for (E each : of.getEnumConstants()) {
                if (each.name().equals(written)) {
                    chosen.add(each);
                }
            }
        }
        return chosen;
    }

    private static @Nullable MessageText message(YamlMapping link) {
        if (!link.has("message")) {
            return null;
        }
        String text = link.text("message", "");
        List<String> unknown = MessageText.unknown(text);
        if (unknown.isEmpty()) {
            return MessageText.of(text);
        }
        link.problems()
                .error(
                        link.valuePosition("message"),
                        "there is no placeholder " + String.join(", ", unknown),
                        "write one of "
                                + MessageText.names().stream()
                                        .map(name -> "{" + name + "}")
                                        .collect(Collectors.joining(", ")));
        return null;
    }

    /** 0 where it is not as the schema wants it, which the schema has told. */
    private static long size(YamlMapping of, String key) {
        String[] parts = of.text(key, "").replaceAll("([0-9])([kMG])", "$1 $2").split(" ", 2);
        try {
            return parts.length == 2 && UNITS.containsKey(parts[1])
                    ? (long) (Double.parseDouble(parts[0]) * UNITS.getOrDefault(parts[1], 0L))
                    : 0;
        } catch (NumberFormatException e) {
            return 0;
        }
    }
}
