package oilbird.gateway.points;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Collectors;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.Rationalization;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;

/**
 * What is served over a link, as a table for both ends: every point with what it means and, for an alarm, its priority
 * and why it exists.
 */
public final class PointSheet {
    private static final List<String> HEAD = List.of(
            "link", "address", "subject", "text", "type", "polarity", "unit", "priority", "means", "rationalization");

    private final StationFacts facts;
    private final List<RuleInstance> rules;

    public PointSheet(StationFacts facts, List<RuleInstance> rules) {
        this.facts = facts;
        this.rules = List.copyOf(rules);
    }

    /** One row a point, in the order of the list, after the names of the columns. */
    public List<List<String>> rows(String link, PointList list) {
        List<List<String>> rows = new ArrayList<>();
        rows.add(HEAD);
        for (ControlPoint point : list.points()) {
            Optional<RuleInstance> rule = ruleOf(point.subject());
            rows.add(List.of(
                    link,
                    point.address(),
                    point.subject().toString(),
                    point.text(),
                    point.type().written(),
                    point.type().isOnOff() ? (point.inverted() ? "inverted" : "normal") : "",
                    point.unit(),
                    rule.map(r -> r.policy().priority().name().toLowerCase(Locale.ROOT))
                            .orElse(""),
                    means(point.subject()),
                    rule.map(r -> rationalization(r.rule().record())).orElse("")));
        }
        return rows;
    }

    /** The same as comma-separated values, which a spreadsheet opens. */
    public String csv(String link, PointList list) {
        return CommaText.of(rows(link, list));
    }

    private Optional<RuleInstance> ruleOf(PointSubject subject) {
        return subject instanceof PointSubject.OfAlarm of
                ? rules.stream().filter(r -> r.id().equals(of.alarm())).findFirst()
                : Optional.empty();
    }

    private String means(PointSubject subject) {
        if (subject instanceof PointSubject.OfAlarm of) {
            return ruleOf(subject).map(PointSheet::headline).orElse(of.toString());
        }
        if (subject instanceof PointSubject.OfShelving of) {
            return "the alarm " + of.alarm() + " is shelved";
        }
        if (subject instanceof PointSubject.OfReading of) {
            return facts.device(of.reading().owner())
                    .map(d -> d.name() + ", "
                            + d.kind()
                                    .point(of.reading().name())
                                    .map(DeviceKind.Point::label)
                                    .orElse(of.reading().name()))
                    .orElse("");
        }
        if (subject instanceof PointSubject.OfSummary of) {
            String name = facts.asset(of.asset()).map(StationFacts.Asset::name).orElse(of.asset());
            List<String> covered = rules.stream()
                    .filter(r -> PointListReader.carries(subject, r))
                    .map(r -> r.id().rule())
                    .toList();
            return name + ", " + of.summary().text() + (covered.isEmpty() ? "" : ": " + String.join(" ", covered));
        }
        return "the gateway works: it changes with every period";
    }

    private static String headline(RuleInstance rule) {
        return rule.asset().name() + ": "
                + rule.rule()
                        .says()
                        .replace("{asset}", rule.asset().name())
                        .replace(
                                "{device}",
                                rule.device() == null ? "" : rule.device().name())
                        .replace("{value}", "...")
                        .replace("{limit}", "...");
    }

    /** Why the alarm exists, on one line. */
    private static String rationalization(Rationalization record) {
        List<String> said = new ArrayList<>();
        said.add("class " + record.alarmClass().name().toLowerCase(Locale.ROOT).replace('_', '-'));
        if (!record.causes().isEmpty()) {
            said.add("causes: " + String.join(", ", record.causes()));
        }
        add(said, "if nothing is done: ", record.consequence());
        add(said, "do: ", record.response());
        add(
                said,
                "within: ",
                record.timeToRespond() == null ? "" : record.timeToRespond().toString());
        add(said, "call the ", record.call());
        add(said, "", record.alsoHardwired() ? "also hardwired" : "");
        return said.stream().map(text -> text.replaceAll("\\s+", " ").strip()).collect(Collectors.joining("; "));
    }

    private static void add(List<String> said, String before, String text) {
        if (!text.isEmpty()) {
            said.add(before + text);
        }
    }
}
