package oilbird.alarm.state;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeSet;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * A naive twin of the machine, written from the table and the decisions in the machine's description in another
 * style: a bag of words, the history of samples as it came, a clock that ticks every second, what the display
 * does looked up by the names of the states before and after, and refusals read from a list.
 *
 * <p>Times are whole seconds.
 */
final class NaiveAlarm {
    private static final long NONE = -1;

    /** Which call is refused when; the first line that fits decides. Status codes: OPC 10000-9, 5.5 to 5.8. */
    static final String ANSWERS = """
            Acknowledge       | disabled                          | DISABLED
            Acknowledge       | acknowledged from this very event | ALREADY_ACKNOWLEDGED
            Acknowledge       | seen an older event               | EVENT_UNKNOWN
            Acknowledge       | acknowledged                      | ALREADY_ACKNOWLEDGED
            Acknowledge       | otherwise                         | done
            Confirm           | disabled                          | DISABLED
            Confirm           | confirmed from this very event    | ALREADY_CONFIRMED
            Confirm           | seen an older event               | EVENT_UNKNOWN
            Confirm           | unacknowledged                    | NOT_ACKNOWLEDGED
            Confirm           | confirmed                         | ALREADY_CONFIRMED
            Confirm           | otherwise                         | done
            Reset             | disabled                          | DISABLED
            Reset             | active                            | NOT_LATCHED
            Reset             | not latched                       | NOT_LATCHED
            Reset             | unacknowledged                    | NOT_LATCHED
            Reset             | unconfirmed                       | NOT_LATCHED
            Reset             | otherwise                         | done
            ShelveTimed       | disabled                          | DISABLED
            ShelveTimed       | shelving forbidden                | SHELVING_NOT_ALLOWED
            ShelveTimed       | shelved for a time                | ALREADY_SHELVED
            ShelveTimed       | impossible time                   | SHELVING_TIME
            ShelveTimed       | otherwise                         | done
            ShelveOneShot     | disabled                          | DISABLED
            ShelveOneShot     | shelving forbidden                | SHELVING_NOT_ALLOWED
            ShelveOneShot     | shelved once                      | ALREADY_SHELVED
            ShelveOneShot     | otherwise                         | done
            Unshelve          | disabled                          | DISABLED
            Unshelve          | not shelved                       | NOT_SHELVED
            Unshelve          | otherwise                         | done
            Suppress          | disabled                          | DISABLED
            Suppress          | suppression forbidden             | SUPPRESSION_NOT_ALLOWED
            Suppress          | suppressed from outside           | ALREADY_SUPPRESSED
            Suppress          | otherwise                         | done
            Unsuppress        | disabled                          | DISABLED
            Unsuppress        | not suppressed                    | NOT_SUPPRESSED
            Unsuppress        | otherwise                         | done
            RemoveFromService | out of service                    | ALREADY_OUT_OF_SERVICE
            RemoveFromService | negative time                     | SERVICE_TIME
            RemoveFromService | otherwise                         | done
            PlaceInService    | in service                        | NOT_OUT_OF_SERVICE
            PlaceInService    | otherwise                         | done
            Disable           | disabled                          | ALREADY_DISABLED
            Disable           | otherwise                         | done
            Enable            | enabled                           | ALREADY_ENABLED
            Enable            | otherwise                         | done
            Comment           | disabled                          | DISABLED
            Comment           | seen an older event               | EVENT_UNKNOWN
            Comment           | otherwise                         | done
            """;

    /** What the display does; TOCONF is an alarm that only waits for confirmation, HIDDEN stands for the three layers and disabled. Other pairs: nothing. */
    private static final String DISPLAY = """
            NORM   UNACK  START
            RTNUN  UNACK  START
            ACKED  UNACK  START
            LTACK  UNACK  START
            HIDDEN UNACK  START
            UNACK  ACKED  STEADY
            UNACK  LTACK  STEADY
            LTUNK  LTACK  STEADY
            ACKED  LTACK  STEADY
            HIDDEN LTACK  STEADY
            HIDDEN LTUNK  STEADY
            HIDDEN TOCONF STEADY
            NORM   TOCONF STEADY
            UNACK  TOCONF STEADY
            ACKED  TOCONF STEADY
            RTNUN  TOCONF STEADY
            TOCONF UNACK  START
            TOCONF NORM   END
            TOCONF HIDDEN END
            UNACK  RTNUN  CHANGE_FORM
            UNACK  NORM   END
            ACKED  NORM   END
            RTNUN  NORM   END
            LTACK  NORM   END
            UNACK  HIDDEN END
            ACKED  HIDDEN END
            RTNUN  HIDDEN END
            LTUNK  HIDDEN END
            LTACK  HIDDEN END
            """;

    private static final List<String[]> ANSWER_CELLS =
            ANSWERS.lines().map(line -> line.split(" *[|] *", -1)).toList();

    private static final Map<String, String> DISPLAY_BY_NAMES = new HashMap<>();

    static {
        DISPLAY.lines()
                .map(line -> line.trim().split(" +", -1))
                .forEach(w -> DISPLAY_BY_NAMES.put(w[0] + " " + w[1], w[2]));
    }

    private record Sample(long second, boolean holds, Quality quality, Priority priority) {}

    private final AlarmPolicy policy;
    private final TreeSet<String> words = new TreeSet<>();
    private final List<Sample> history = new ArrayList<>();
    private @Nullable Boolean condition;
    private Quality quality;
    private Priority priority;
    private long occurrence;
    private long reAlarms;
    private long shelfEnd = NONE;
    private long reminder = NONE;
    private long askAgain = NONE;
    private long activeSince = NONE;
    private String lastEvent;
    private String acknowledgedEvent;
    private String confirmedEvent;
    private long clock;

    private List<String> said = new ArrayList<>();
    private String shownAs = "";
    private String answer = "";

    NaiveAlarm(AlarmState s, AlarmPolicy policy, long second) {
        this.policy = policy;
        clock = second;
        put("disabled", !s.enabled());
        put("active", s.active());
        put("unacknowledged", !s.acknowledged());
        put("latched", s.latched());
        put("TIMED", s.shelving().kind() == Shelving.Kind.TIMED);
        put("ONE_SHOT", s.shelving().kind() == Shelving.Kind.ONE_SHOT);
        put("unconfirmed", !s.confirmed());
        put("designed", s.suppression().logic());
        put("overruled", s.suppression().overruled());
        put("from outside", s.suppression().by() != null);
        put("removed", s.outOfService() != null);
        condition = s.condition();
        quality = s.quality();
        priority = s.priority();
        occurrence = s.occurrence();
        reAlarms = s.reAlarms();
        shelfEnd = seconds(s.shelving().until());
        OutOfService service = s.outOfService();
        reminder = service == null ? NONE : seconds(service.until());
        askAgain = seconds(s.reAlarmAt());
        activeSince = s.activeSince() == null ? NONE : seconds(s.activeSince().monotonicNanos());
        lastEvent = s.lastEvent();
        acknowledgedEvent = s.acknowledgedEvent();
        confirmedEvent = s.confirmedEvent();
        Pending pending = s.pending();
        if (pending != null) {
            boolean holds = pending.change() != Pending.Change.RETURN;
            for (int i = 0; i < pending.samples(); i++) {
                history.add(new Sample(seconds(pending.since()), holds, Quality.GOOD, pending.priority()));
            }
        }
        shownAs = shownName();
    }

    private static long seconds(long nanos) {
        return nanos == AlarmState.NEVER ? NONE : nanos / 1_000_000_000L;
    }

    void lastEvent(String id) {
        lastEvent = id;
    }

    /** One line for each event of this input: kind, display, name afterwards. */
    List<String> take(AlarmInput input) {
        said = new ArrayList<>();
        answer = "";
        long now = seconds(input.at().monotonicNanos());
        for (long second = clock; second <= now; second++) {
            while (tick(second, now)) {
                // until this second brings nothing more
            }
        }
        clock = now;
        if (input instanceof AlarmInput.Evaluated sample) {
            observe(sample, now);
        } else if (input instanceof AlarmInput.SuppressByDesign design) {
            boolean wanted = design.suppressed() && policy.suppressionAllowed();
            boolean news = wanted != words.contains("designed");
            boolean covered = suppressed();
            if (news) {
                words.remove("overruled");
                put("designed", wanted);
            }
            boolean forbidden = !policy.suppressionAllowed() && words.remove("from outside");
            if (news && wanted) {
                say(Kind.SUPPRESSED, now);
            } else if ((news || forbidden) && covered) {
                uncover(Kind.UNSUPPRESSED, now);
            }
        } else if (input instanceof AlarmInput.EvidenceVoided voided) {
            takeBack(voided.before(), now);
        } else if (input instanceof AlarmInput.Act act) {
            answer = answerTo(act);
            if (answer.equals("done")) {
                carryOut(act, now);
            } else {
                say(Kind.REFUSED, now);
            }
        }
        return said;
    }

    String refusal() {
        return answer.equals("done") ? "" : answer;
    }

    private boolean tick(long second, long now) {
        if (shelfEnd == second) {
            takeOffShelf();
            uncover(Kind.AUTO_UNSHELVED, now);
        } else if (reminder == second) {
            reminder = NONE;
            say(Kind.SERVICE_TIME_OVER, now);
        } else if (!words.contains("disabled") && ripe(second)) {
            applyNewest(now);
        } else if (askAgain == second) {
            asks();
            reAlarms++;
            say(Kind.RE_ALARMED, now);
            byRule(now);
        } else {
            return false;
        }
        return true;
    }

    private void observe(AlarmInput.Evaluated e, long now) {
        boolean told = e.condition() != IndicationState.CANNOT_BE_TOLD && e.quality() != Quality.BAD;
        Quality old = quality;
        boolean interesting = !words.contains("disabled")
                && (words.contains("active")
                        || words.contains("unacknowledged")
                        || words.contains("unconfirmed")
                        || words.contains("latched"));
        int spoken = said.size();
        if (told) {
            quality = e.quality();
            condition = e.condition() == IndicationState.HOLDS;
            history.add(new Sample(now, condition, e.quality(), e.priority()));
            if (!words.contains("disabled") && ripe(now)) {
                applyNewest(now);
            }
        } else {
            quality = Quality.BAD;
            history.clear();
        }
        if (old != quality && interesting && said.size() == spoken) {
            say(Kind.QUALITY_CHANGED, now);
        }
    }

    /** The alarm as it was, except for what has been acknowledged. */
    private void takeBack(AlarmInput.Before then, long now) {
        condition = null;
        String wish = history.isEmpty() ? "" : asks(history.get(history.size() - 1));
        boolean news = words.contains("active") && !then.active();
        boolean worse =
                words.contains("active") && priority.ordinal() < then.priority().ordinal();
        if (wish.equals("raise") || wish.equals("escalate") || news || worse) {
            history.clear();
        }
        if (!news && !worse) {
            return;
        }
        priority = then.priority();
        boolean seenMeanwhile = !words.contains("unacknowledged");
        boolean doneMeanwhile = seenMeanwhile && !words.contains("unconfirmed");
        put("unacknowledged", !seenMeanwhile && !then.acknowledged());
        put("unconfirmed", !words.contains("unacknowledged") && !doneMeanwhile && !then.confirmed());
        if (news) {
            words.remove("active");
            reAlarms = 0;
            if (!then.latched()) {
                words.remove("latched");
            }
        }
        say(Kind.VOIDED, now);
    }

    /** What a sample asks of the alarm as it is. */
    private String asks(Sample s) {
        if (!words.contains("active")) {
            return s.holds ? "raise" : "";
        }
        boolean good = s.quality == Quality.GOOD;
        if (!s.holds) {
            return good ? "return" : "";
        }
        int step = s.priority.ordinal() - priority.ordinal();
        return step < 0 ? "escalate" : step > 0 && good ? "ease" : "";
    }

    /** True when the newest run of samples that ask for the same is long enough in number and in time. */
    private boolean ripe(long second) {
        if (history.isEmpty()) {
            return false;
        }
        String wish = asks(history.get(history.size() - 1));
        if (wish.isEmpty()) {
            return false;
        }
        boolean up = wish.equals("raise") || wish.equals("escalate");
        int run = 0;
        long since = second;
        for (int i = history.size() - 1; i >= 0 && asks(history.get(i)).equals(wish); i--) {
            run++;
            since = history.get(i).second;
        }
        return run >= (up ? policy.onSamples() : policy.offSamples())
                && second - since >= (up ? policy.onDelay() : policy.offDelay()).toSeconds();
    }

    private void applyNewest(long now) {
        Sample newest = history.get(history.size() - 1);
        String wish = asks(newest);
        history.clear();
        if (wish.equals("return")) {
            words.remove("active");
            put("latched", words.contains("latched") || policy.latching());
            reAlarms = 0;
            boolean auto = words.contains("unacknowledged")
                    && (policy.acknowledgement() == Acknowledgement.BY_RULE
                            || (policy.acknowledgement() == Acknowledgement.ON_RETURN && !words.contains("latched")));
            if (auto) {
                seen();
            }
            say(Kind.RETURNED, now);
            if (auto) {
                say(Kind.AUTO_ACKNOWLEDGED, now);
            }
            if (words.contains("ONE_SHOT")) {
                takeOffShelf();
                uncover(Kind.AUTO_UNSHELVED, now);
            }
            return;
        }
        priority = newest.priority;
        if (wish.equals("ease")) {
            say(Kind.EASED, now);
            return;
        }
        occurrence++;
        if (wish.equals("raise")) {
            words.add("active");
            put("latched", words.contains("latched") || policy.latching());
            activeSince = now;
        }
        asks();
        say(wish.equals("raise") ? Kind.RAISED : Kind.ESCALATED, now);
        byRule(now);
    }

    private void byRule(long now) {
        if (policy.acknowledgement() == Acknowledgement.BY_RULE) {
            seen();
            say(Kind.AUTO_ACKNOWLEDGED, now);
        }
    }

    private void asks() {
        words.add("unacknowledged");
        words.remove("unconfirmed");
    }

    private void seen() {
        words.remove("unacknowledged");
        put("unconfirmed", policy.confirmation());
    }

    private boolean suppressed() {
        return words.contains("from outside") || (words.contains("designed") && !words.contains("overruled"));
    }

    private void takeOffShelf() {
        words.remove("TIMED");
        words.remove("ONE_SHOT");
        shelfEnd = NONE;
    }

    private void uncover(Kind kind, long now) {
        if (hidden()) {
            say(kind, now);
            return;
        }
        boolean rings = words.contains("active");
        if (rings) {
            asks();
        } else if (!words.contains("latched")) {
            words.remove("unacknowledged");
        }
        say(kind, now);
        if (rings) {
            byRule(now);
        }
    }

    private boolean hidden() {
        return words.contains("disabled")
                || words.contains("removed")
                || words.contains("TIMED")
                || words.contains("ONE_SHOT")
                || suppressed();
    }

    private String name() {
        if (words.contains("disabled")) {
            return "DISABLED";
        }
        if (words.contains("removed")) {
            return "OOSRV";
        }
        if (hidden()) {
            return words.contains("TIMED") || words.contains("ONE_SHOT") ? "SHLVD" : "DSUPR";
        }
        String shape = (words.contains("active") ? "a" : "-")
                + (words.contains("latched") ? "l" : "-")
                + (words.contains("unacknowledged") ? "u" : "-");
        return switch (shape) {
            case "---" -> "NORM";
            case "--u" -> "RTNUN";
            case "-l-" -> "LTACK";
            case "-lu" -> "LTUNK";
            case "a--", "al-" -> "ACKED";
            default -> "UNACK";
        };
    }

    private String shownName() {
        String shown = hidden() ? "HIDDEN" : name();
        return shown.equals("NORM") && words.contains("unconfirmed") ? "TOCONF" : shown;
    }

    private void say(Kind kind, long now) {
        String before = shownAs;
        shownAs = shownName();
        String display = kind == Kind.ESCALATED && shownAs.equals("UNACK")
                ? "START"
                : Objects.requireNonNullElse(DISPLAY_BY_NAMES.get(before + " " + shownAs), "NONE");
        if (shownAs.equals("ACKED") && !policy.reAlarmTime().isZero()) {
            askAgain = askAgain == NONE ? now + policy.reAlarmTime().toSeconds() : askAgain;
        } else {
            askAgain = NONE;
        }
        said.add(kind + " " + display + " " + name());
    }

    private String answerTo(AlarmInput.Act act) {
        String call = act.getClass().getSimpleName();
        for (String[] line : ANSWER_CELLS) {
            if (line[0].equals(call) && fits(line[1], act)) {
                return line[2];
            }
        }
        throw new AssertionError("no answer to " + act);
    }

    private boolean fits(String when, AlarmInput.Act act) {
        String seen = act instanceof AlarmInput.Acknowledge a
                ? a.eventId()
                : act instanceof AlarmInput.Confirm f
                        ? f.eventId()
                        : act instanceof AlarmInput.Comment c ? c.eventId() : null;
        return switch (when) {
            case "otherwise" -> true;
            case "disabled", "active", "unacknowledged", "unconfirmed" -> words.contains(when);
            case "enabled" -> !words.contains("disabled");
            case "acknowledged" -> !words.contains("unacknowledged");
            case "acknowledged from this very event" ->
                !words.contains("unacknowledged") && acknowledgedEvent.equals(seen);
            case "confirmed" -> !words.contains("unconfirmed");
            case "confirmed from this very event" ->
                !words.contains("unacknowledged") && !words.contains("unconfirmed") && confirmedEvent.equals(seen);
            case "suppression forbidden" -> !policy.suppressionAllowed();
            case "suppressed from outside" -> words.contains("from outside");
            case "not suppressed" -> !suppressed();
            case "seen an older event" -> seen != null && !lastEvent.equals(seen);
            case "not latched" -> !words.contains("latched");
            case "shelving forbidden" -> !policy.shelvingAllowed();
            case "shelved for a time" -> words.contains("TIMED");
            case "shelved once" -> words.contains("ONE_SHOT");
            case "not shelved" -> !words.contains("TIMED") && !words.contains("ONE_SHOT");
            case "impossible time" -> {
                long millis = ((AlarmInput.ShelveTimed) act).duration().toMillis();
                yield millis <= 0 || millis > policy.maxShelveTime().toMillis();
            }
            case "out of service" -> words.contains("removed");
            case "in service" -> !words.contains("removed");
            case "negative time" ->
                ((AlarmInput.RemoveFromService) act).duration().toMillis() < 0;
            default -> throw new AssertionError("no such condition: " + when);
        };
    }

    private void carryOut(AlarmInput.Act act, long now) {
        switch (act.getClass().getSimpleName()) {
            case "Acknowledge" -> {
                seen();
                acknowledgedEvent = lastEvent;
                say(Kind.ACKNOWLEDGED, now);
            }
            case "Confirm" -> {
                words.remove("unconfirmed");
                confirmedEvent = lastEvent;
                say(Kind.CONFIRMED, now);
            }
            case "Suppress" -> {
                words.add("from outside");
                say(Kind.SUPPRESSED, now);
            }
            case "Unsuppress" -> {
                words.remove("from outside");
                put("overruled", words.contains("designed"));
                uncover(Kind.UNSUPPRESSED, now);
            }
            case "Reset" -> {
                words.remove("latched");
                say(Kind.RESET, now);
            }
            case "ShelveTimed" -> shelve("TIMED", ((AlarmInput.ShelveTimed) act).duration(), now);
            case "ShelveOneShot" -> shelve("ONE_SHOT", policy.maxShelveTime(), now);
            case "Unshelve" -> {
                takeOffShelf();
                uncover(Kind.UNSHELVED, now);
            }
            case "RemoveFromService" -> {
                words.add("removed");
                long time = ((AlarmInput.RemoveFromService) act).duration().toSeconds();
                reminder = time == 0 ? NONE : now + time;
                say(Kind.REMOVED_FROM_SERVICE, now);
            }
            case "PlaceInService" -> {
                words.remove("removed");
                reminder = NONE;
                uncover(Kind.PLACED_IN_SERVICE, now);
            }
            case "Disable" -> {
                words.add("disabled");
                say(Kind.DISABLED, now);
            }
            case "Enable" -> {
                if (ripe(now)) {
                    applyNewest(now);
                }
                words.remove("disabled");
                uncover(Kind.ENABLED, now);
            }
            case "Comment" -> say(Kind.COMMENTED, now);
            default -> throw new AssertionError("no such act: " + act);
        }
    }

    private void shelve(String kind, Duration time, long now) {
        takeOffShelf();
        words.add(kind);
        shelfEnd = now + time.toSeconds();
        say(Kind.SHELVED, now);
    }

    private void put(String word, boolean present) {
        if (present) {
            words.add(word);
        } else {
            words.remove(word);
        }
    }

    /** Everything there is to compare. */
    List<@Nullable Object> memories() {
        return Arrays.asList(
                name(),
                words,
                condition,
                quality,
                priority,
                occurrence,
                reAlarms,
                shelfEnd,
                reminder,
                askAgain,
                activeSince,
                acknowledgedEvent,
                confirmedEvent);
    }

    /** The memories of a state in the same words; its name is the state's own. */
    static List<@Nullable Object> memories(AlarmState s, AlarmPolicy policy) {
        List<@Nullable Object> same = new NaiveAlarm(s, policy, 0).memories();
        same.set(0, s.name().name());
        return same;
    }

    static List<String> lines(List<AlarmEvent> events) {
        return events.stream()
                .map(e -> e.kind() + " " + e.annunciate() + " " + e.after())
                .toList();
    }
}
