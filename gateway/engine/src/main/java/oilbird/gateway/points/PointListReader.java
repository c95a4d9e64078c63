package oilbird.gateway.points;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmId;
import oilbird.mapping.draft.CommaTable;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;
import org.jspecify.annotations.Nullable;

/**
 * Reads the point list that a control room dictates, and holds it against the station both ways: a table with comma,
 * semicolon or tab between cells, the names of the columns in the first row ({@code address, subject, type, text}, and
 * where wanted {@code polarity, unit}), one row a point. Every mistake is told, not the first.
 */
public final class PointListReader {
    private static final String ADDRESS = "address";
    private static final String SUBJECT = "subject";
    private static final String TYPE = "type";
    private static final String TEXT = "text";
    private static final String POLARITY = "polarity";
    private static final String UNIT = "unit";
    private static final List<String> NEEDED = List.of(ADDRESS, SUBJECT, TYPE, TEXT);
    private static final List<String> COLUMNS = List.of(ADDRESS, SUBJECT, TYPE, POLARITY, TEXT, UNIT);
    private static final List<String> KINDS = List.of("alarm", "shelved", "reading", "summary", "life-sign");
    private static final int LONGEST_ADDRESS = 200;
    private static final int MOST_NAMED = 20;

    /**
     * What the control room allows.
     *
     * @param mostPoints in the whole list.
     * @param longestText characters of the text of a point.
     * @param lifeSign how often the life sign changes.
     */
    public record Limits(int mostPoints, int longestText, Duration lifeSign) {
        public static final Limits NONE = new Limits(20_000, 255, PointList.LIFE_SIGN);
    }

    private final String file;
    private final StationFacts facts;
    private final Map<AlarmId, RuleInstance> alarms = new LinkedHashMap<>();
    private final Limits limits;
    private final GivenOut givenOut;
    private final boolean newAddresses;
    private final Problems problems = new Problems();
    private final Map<String, Integer> addresses = new LinkedHashMap<>();
    private final Map<String, Integer> subjects = new LinkedHashMap<>();
    private final Map<String, Integer> texts = new LinkedHashMap<>();
    private final Map<String, Position> notGivenOut = new LinkedHashMap<>();
    private final List<ControlPoint> points = new ArrayList<>();

    private PointListReader(
            String file,
            StationFacts facts,
            List<RuleInstance> rules,
            Limits limits,
            GivenOut givenOut,
            boolean newAddresses) {
        this.newAddresses = newAddresses;
        this.file = file;
        this.facts = facts;
        this.limits = limits;
        this.givenOut = givenOut;
        rules.forEach(rule -> alarms.put(rule.id(), rule));
    }

    /**
     * @param file its name below the station folder.
     * @param givenOut every address that was ever given out under this list.
     * @param newAddresses whether rows may have addresses that were not given out yet: to give them out, never to
     *     serve them.
     */
    public static Loaded<PointList> read(
            String file,
            String text,
            StationFacts facts,
            List<RuleInstance> rules,
            Limits limits,
            GivenOut givenOut,
            boolean newAddresses) {
        PointListReader reader = new PointListReader(file, facts, rules, limits, givenOut, newAddresses);
        reader.read(text);
        Problems problems = reader.problems;
        return problems.loaded(problems.refused() ? null : new PointList(file, reader.points, limits.lifeSign()));
    }

    private void read(String text) {
        List<CommaTable.Row> rows = CommaTable.read(file, text, problems).rows();
        if (rows.isEmpty()) {
            problems.error(
                    new Position(file, 1, 1),
                    "the point list is empty",
                    "write the names of the columns first: " + String.join(",", COLUMNS));
            return;
        }
        List<String> columns = CommaTable.columns(rows.get(0), COLUMNS, NEEDED, "point", problems);
        if (problems.refused()) {
            return;
        }
        for (CommaTable.Row row : rows.subList(1, rows.size())) {
            point(row, columns);
        }
        if (rows.size() == 1) {
            problems.error(new Position(file, 1, 1), "the point list has no point", "write one row a point");
        }
        if (rows.size() - 1 > limits.mostPoints()) {
            CommaTable.Row first = rows.get(limits.mostPoints() + 1);
            problems.error(
                    new Position(file, first.line(), 1),
                    "this is point " + (limits.mostPoints() + 1) + " of " + (rows.size() - 1)
                            + ", and the control room takes " + limits.mostPoints(),
                    "leave rows out, take summary points in their place, or agree on more and write it under"
                            + " most_points:");
        }
        if (!newAddresses && !notGivenOut.isEmpty()) {
            problems.error(
                    notGivenOut.values().iterator().next(),
                    (notGivenOut.size() == 1 ? "this address is" : notGivenOut.size() + " addresses are")
                            + " not among those given out in " + givenOut.file() + ": "
                            + named(notGivenOut.keySet()),
                    "run `oilbird points STATION --give-out` once the control room has agreed, and keep that file with"
                            + " the station folder");
        }
        if (!problems.refused()) {
            tellLeftOut();
        }
    }

    private void point(CommaTable.Row row, List<String> columns) {
        Position begin = row.cells().get(0).position();
        Map<String, CommaTable.Cell> cells = CommaTable.cells(row, columns, problems);
        if (cells.isEmpty()) {
            return;
        }
        CommaTable.Cell none = new CommaTable.Cell("", begin);
        String address = address(cell(cells, ADDRESS, none), row.line());
        PointSubject subject = subject(cell(cells, SUBJECT, none), row.line());
        PointType type = type(cell(cells, TYPE, none));
        Boolean inverted = inverted(cell(cells, POLARITY, none), type);
        String text = text(cell(cells, TEXT, none), subject, row.line());
        String unit = subject == null ? null : unit(cell(cells, UNIT, none), subject);
        if (subject != null && type != null) {
            checkType(cell(cells, TYPE, none), subject, type);
        }
        if (address != null && subject != null) {
            Position at = cell(cells, ADDRESS, none).position();
            if (givenOut.check(address, subject, at, problems)) {
                notGivenOut.put(address, at);
            }
        }
        if (address != null && subject != null && type != null && inverted != null && text != null && unit != null) {
            points.add(new ControlPoint(address, subject, type, inverted, text, unit));
        }
    }

    private static CommaTable.Cell cell(Map<String, CommaTable.Cell> cells, String column, CommaTable.Cell none) {
        return cells.getOrDefault(column, none);
    }

    // ---- cells

    private @Nullable String address(CommaTable.Cell cell, int line) {
        String address = cell.text();
        if (address.isEmpty()) {
            problems.error(cell.position(), "the point has no address", "write the one that the control room dictates");
            return null;
        }
        if (address.length() > LONGEST_ADDRESS || !PlainAscii.isPlain(address)) {
            problems.error(
                    cell.position(),
                    "`" + address + "` cannot be an address",
                    "write at most " + LONGEST_ADDRESS + " printable characters of ASCII");
            return null;
        }
        Integer first = addresses.putIfAbsent(address, line);
        if (first != null) {
            problems.error(
                    cell.position(),
                    "the address `" + address + "` is already given in line " + first,
                    "give each point an address of its own");
            return null;
        }
        return address;
    }

    private @Nullable PointSubject subject(CommaTable.Cell cell, int line) {
        String written = cell.text();
        String[] parts = written.split(" +", 2);
        String kind = parts[0].toLowerCase(Locale.ROOT);
        String name = parts.length < 2 ? "" : parts[1].strip();
        PointSubject subject = switch (kind) {
            case "life-sign" -> name.isEmpty() ? new PointSubject.LifeSign() : null;
            case "alarm" ->
                alarm(cell, name)
                        .map(id -> (PointSubject) new PointSubject.OfAlarm(id))
                        .orElse(null);
            case "shelved" ->
                alarm(cell, name)
                        .map(id -> (PointSubject) new PointSubject.OfShelving(id))
                        .orElse(null);
            case "reading" -> reading(cell, name);
            case "summary" -> summary(cell, name);
            default -> null;
        };
        if (!KINDS.contains(kind) || (kind.equals("life-sign") && subject == null)) {
            problems.error(
                    cell.position(),
                    written.isEmpty()
                            ? "the point stands for nothing"
                            : "`" + written + "` is nothing that a point stands for",
                    "write `alarm ASSET/RULE`, `shelved ASSET/RULE`, `reading DEVICE/POINT`, `summary ASSET/SUMMARY` or"
                            + " `life-sign`"
                            + Suggestion.closest(kind, KINDS)
                                    .filter(near -> !near.equals(kind))
                                    .map(near -> "; did you mean " + near + "?")
                                    .orElse(""));
        }
        if (subject == null) {
            return null;
        }
        Integer first = subjects.putIfAbsent(subject.toString(), line);
        if (first != null) {
            problems.error(
                    cell.position(),
                    "`" + subject + "` already has a point in line " + first,
                    "take one of the two rows out");
            return null;
        }
        return subject;
    }

    private Optional<AlarmId> alarm(CommaTable.Cell cell, String name) {
        int slash = name.indexOf('/');
        AlarmId id = slash < 0 ? null : new AlarmId(name.substring(0, slash), name.substring(slash + 1));
        if (id != null && alarms.containsKey(id)) {
            return Optional.of(id);
        }
        List<String> known = alarms.keySet().stream().map(AlarmId::toString).toList();
        List<String> ofAsset = known.stream()
                .filter(k -> slash > 0 && k.startsWith(name.substring(0, slash + 1)))
                .toList();
        problems.error(
                cell.position(),
                "the station has no alarm `" + name + "`",
                didYouMean(name, ofAsset.isEmpty() ? known : ofAsset, "its alarms are"));
        return Optional.empty();
    }

    private @Nullable PointSubject reading(CommaTable.Cell cell, String name) {
        int slash = name.indexOf('/');
        if (slash > 0) {
            SignalId id = new SignalId(name.substring(0, slash), name.substring(slash + 1));
            if (facts.device(id.owner()).flatMap(d -> d.kind().point(id.name())).isPresent()) {
                return new PointSubject.OfReading(id);
            }
        }
        List<String> known = new ArrayList<>();
        for (StationFacts.Device device : facts.devices()) {
            boolean named = slash > 0 && device.id().equals(name.substring(0, slash));
            if (slash <= 0 || named || facts.device(name.substring(0, slash)).isEmpty()) {
                device.kind().points().forEach(p -> known.add(device.id() + "/" + p.name()));
            }
        }
        problems.error(
                cell.position(),
                "the station has no reading `" + name + "`",
                didYouMean(name, known, "its readings are"));
        return null;
    }

    private @Nullable PointSubject summary(CommaTable.Cell cell, String name) {
        int slash = name.indexOf('/');
        String asset = slash < 0 ? name : name.substring(0, slash);
        String written = slash < 0 ? "" : name.substring(slash + 1);
        List<String> assets =
                facts.assets().stream().map(StationFacts.Asset::id).toList();
        if (!assets.contains(asset)) {
            problems.error(
                    cell.position(),
                    "the station has no asset `" + asset + "`",
                    didYouMean(asset, assets, "its assets are"));
            return null;
        }
        Optional<Summary> summary = Summary.of(written);
        if (summary.isEmpty()) {
            List<String> known =
                    List.of(Summary.values()).stream().map(Summary::written).toList();
            problems.error(
                    cell.position(),
                    "there is no summary `" + written + "`",
                    didYouMean(written, known, "write " + asset + "/ and one of"));
            return null;
        }
        Summary found = summary.orElseThrow();
        boolean canBeOn = found == Summary.READINGS_NOT_TRUSTED
                || found == Summary.COMMUNICATION_LOST
                || found == Summary.ALARMS_SHELVED
                || found == Summary.IN_MAINTENANCE
                || alarms.values().stream().anyMatch(r -> goesInto(r, asset, found));
        if (!canBeOn) {
            problems.warning(
                    cell.position(),
                    "no alarm of `" + asset + "` goes into " + written + ", so the point can never be on",
                    "take the row out, or write rules for it");
        }
        return new PointSubject.OfSummary(asset, found);
    }

    private static boolean goesInto(RuleInstance rule, String asset, Summary summary) {
        return rule.asset().id().equals(asset)
                && Summary.ofTrouble(rule.rule().record().trouble()) == summary;
    }

    private @Nullable PointType type(CommaTable.Cell cell) {
        String written = cell.text().toLowerCase(Locale.ROOT).replace(' ', '-');
        Optional<PointType> type = PointType.of(written);
        if (type.isEmpty()) {
            List<String> known =
                    List.of(PointType.values()).stream().map(PointType::written).toList();
            problems.error(
                    cell.position(),
                    cell.text().isEmpty() ? "the point has no type" : "there is no type `" + cell.text() + "`",
                    didYouMean(written, known, "write one of"));
        }
        return type.orElse(null);
    }

    private @Nullable Boolean inverted(CommaTable.Cell cell, @Nullable PointType type) {
        String written = cell.text().toLowerCase(Locale.ROOT);
        if (!List.of("", "normal", "inverted").contains(written)) {
            problems.error(
                    cell.position(),
                    "there is no polarity `" + cell.text() + "`",
                    "write normal or inverted, or leave the cell empty for normal");
            return null;
        }
        boolean inverted = written.equals("inverted");
        if (inverted && type != null && !type.isOnOff()) {
            problems.error(
                    cell.position(),
                    "a " + type.written() + " has no polarity",
                    "leave the cell empty, or make it a single-point or a double-point");
            return null;
        }
        return inverted;
    }

    private @Nullable String text(CommaTable.Cell cell, @Nullable PointSubject subject, int line) {
        String text = cell.text();
        if (text.isEmpty()) {
            problems.error(
                    cell.position(),
                    "the point has no text",
                    subject == null
                            ? "write what is shown"
                            : "write what is shown, for example " + shortened(textOf(subject)));
            return null;
        }
        boolean well = true;
        if (!PlainAscii.isPlain(text)) {
            problems.error(
                    cell.position(),
                    "the text `" + text + "` has characters that are not plain ASCII",
                    "write " + shortened(PlainAscii.of(text)));
            well = false;
        } else if (text.length() > limits.longestText()) {
            problems.error(
                    cell.position(),
                    "the text `" + text + "` has " + text.length() + " characters, and the control room shows "
                            + limits.longestText(),
                    "shorten it, or agree on more and write it under longest_text:");
            well = false;
        }
        Integer first = texts.putIfAbsent(text, line);
        if (first != null) {
            problems.warning(
                    cell.position(),
                    "the text `" + text + "` is already in line " + first + ", so nobody can tell the two points apart",
                    "say in one of them what is different");
        }
        return well ? text : null;
    }

    private String shortened(String text) {
        return text.length() <= limits.longestText()
                ? text
                : text.substring(0, limits.longestText()).strip();
    }

    private String textOf(PointSubject subject) {
        if (subject instanceof PointSubject.OfSummary of) {
            String name = facts.asset(of.asset()).map(StationFacts.Asset::name).orElse(of.asset());
            return PlainAscii.of(name) + " " + of.summary().text();
        }
        return PlainAscii.of(subject.toString());
    }

    private @Nullable String unit(CommaTable.Cell cell, PointSubject subject) {
        String written = cell.text();
        String ours = "";
        if (subject instanceof PointSubject.OfReading of) {
            ours = facts.device(of.reading().owner())
                    .flatMap(d -> d.kind().point(of.reading().name()))
                    .map(DeviceKind.Point::unit)
                    .orElse("");
        }
        if (!written.isEmpty() && !written.equals(ours)) {
            problems.error(
                    cell.position(),
                    "the control room expects `" + written + "`, and `" + subject + "` "
                            + (ours.isEmpty() ? "has no unit" : "is in " + ours),
                    ours.isEmpty()
                            ? "leave the cell empty"
                            : "write " + ours + " and let the control room convert; nothing is converted here");
            return null;
        }
        return ours;
    }

    private void checkType(CommaTable.Cell cell, PointSubject subject, PointType type) {
        List<PointType> fitting = List.of(PointType.SINGLE_POINT, PointType.DOUBLE_POINT);
        if (subject instanceof PointSubject.LifeSign) {
            fitting = List.of(PointType.SINGLE_POINT, PointType.MEASURED_VALUE);
        } else if (subject instanceof PointSubject.OfReading of) {
            boolean field = facts.device(of.reading().owner())
                    .flatMap(d -> d.kind().point(of.reading().name()))
                    .filter(DeviceKind.Point::isField)
                    .isPresent();
            fitting = field ? List.of(PointType.TEXT) : List.of(PointType.MEASURED_VALUE, PointType.TEXT);
        }
        if (!fitting.contains(type)) {
            problems.error(
                    cell.position(),
                    "`" + subject + "` cannot be a " + type.written(),
                    "write "
                            + String.join(
                                    " or ",
                                    fitting.stream().map(PointType::written).toList()));
        }
    }

    // ---- the other way round

    /** Alarms that the control room will never hear of. */
    private void tellLeftOut() {
        Set<String> left = new LinkedHashSet<>(leftOut(alarms.values(), points));
        if (!left.isEmpty()) {
            problems.warning(
                    new Position(file, 1, 1),
                    left.size() + (left.size() == 1 ? " alarm has" : " alarms have")
                            + " neither a point nor a summary point that covers it: " + named(left),
                    "add rows, or the summary points that they go into");
        }
    }

    /** Ids of the alarms that have no point of their own and go into no summary point of the list. */
    static List<String> leftOut(Iterable<RuleInstance> rules, List<ControlPoint> points) {
        List<String> left = new ArrayList<>();
        for (RuleInstance rule : rules) {
            boolean carried = points.stream().anyMatch(p -> carries(p.subject(), rule));
            if (!carried) {
                left.add(rule.id().toString());
            }
        }
        return left;
    }

    /** Whether a point tells of the alarm, by itself or with others. */
    static boolean carries(PointSubject subject, RuleInstance rule) {
        return subject instanceof PointSubject.OfAlarm of
                ? of.alarm().equals(rule.id())
                : subject instanceof PointSubject.OfSummary summary
                        && goesInto(rule, summary.asset(), summary.summary());
    }

    private static String named(Set<String> all) {
        String first = String.join(", ", all.stream().limit(MOST_NAMED).toList());
        return all.size() <= MOST_NAMED ? first : first + " and " + (all.size() - MOST_NAMED) + " more";
    }

    private static String didYouMean(String word, List<String> candidates, String otherwise) {
        return Suggestion.closest(word, candidates)
                .map(near -> "did you mean " + near + "?")
                .orElseGet(() -> otherwise + " "
                        + String.join(
                                ", ", candidates.stream().limit(MOST_NAMED).toList())
                        + (candidates.size() > MOST_NAMED ? " and others" : ""));
    }
}
