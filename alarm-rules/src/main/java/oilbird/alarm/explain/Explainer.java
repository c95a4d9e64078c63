package oilbird.alarm.explain;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import oilbird.alarm.check.Belief;
import oilbird.alarm.check.CheckChoice;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.CauseBinder;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.Rationalization;
import oilbird.alarm.rule.RuleBinder;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.rule.Words;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.station.LevelEvidence;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationView;
import oilbird.alarm.transformer.derived.DerivedSignals;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** Explains alarms in plain words. Immutable, thread-safe. */
public final class Explainer {
    /** Goes with every list of first checks. */
    public static final String STANDING_NOTE = "The owner's rules, permits and the law prevail over these checks, and"
            + " qualified persons do the work. Treat everything as energised until the owner's own procedure says"
            + " otherwise.";

    private static final List<String> EXPOSURES =
            List.of("at the screen", "look from outside", "open a cabinet", "touch or measure", "outage");
    private static final String NOT_KNOWN = "not known";
    /** Stands for a value in the words of an alarm that is not active: it has none then. */
    private static final String NO_VALUE = "...";
    /** Below this posterior the likeliest cause is no more than the first of several. */
    private static final double CLEAR = 0.5;

    private final StationFacts facts;
    private final Map<String, CauseInstance> causes = new LinkedHashMap<>();
    private final Map<String, StationFacts.Device> devices = new LinkedHashMap<>();
    private final StationCauses network;

    public Explainer(StationModel model) {
        facts = model.facts();
        model.facts().devices().forEach(d -> devices.put(d.id(), d));
        network = model.causes();
        network.causes().forEach(c -> causes.put(c.id(), c));
    }

    /**
     * What an alarm of the view means for people.
     *
     * @throws IllegalArgumentException if the view has no such alarm.
     */
    public Explanation explain(StationView view, AlarmId alarm) {
        StationView.AlarmView seen = view.alarms().get(alarm);
        if (seen == null) {
            throw new IllegalArgumentException("no such alarm: " + alarm);
        }
        return explain(view, seen);
    }

    /** What an alarm means for people that stands as given, in a station that otherwise stands as the view shows. */
    public Explanation explain(StationView view, StationView.AlarmView seen) {
        AlarmId alarm = seen.rule().id();
        RuleInstance rule = seen.rule();
        Rationalization record = rule.rule().record();
        String words = words(seen);
        Trust trust = trust(view, seen);
        String asset = rule.asset().name();
        Standing.Maintenance maintenance = view.standing().covering(rule, facts);
        Standing.AlarmTest test = view.standing().testOf(alarm);
        List<KeepAwayNotice> away = keepAways(view, assetsOf(rule));
        List<FirstCheck> checks = allowed(rule.checks(), away);
        Explanation.LikelyCause likely = likely(view, seen);
        String headline = cut((seen.test() ? "Test: " : "") + asset + ": " + words);
        String sentence = seen.test()
                ? "Point test" + (test == null ? "" : " by " + test.by().name()) + ", nothing has happened; shown as "
                        + (seen.state().active() ? "active: " : "normal: ") + asset + ": " + words + "."
                : sentence(
                        asset,
                        happened(seen),
                        trust,
                        likely,
                        away,
                        standing(maintenance, test),
                        todo(seen, maintenance != null));
        return new Explanation(
                alarm,
                headline,
                sentence,
                record.trouble(),
                troubleText(rule),
                seen.state().priority(),
                trust.text(),
                trust.good(),
                record.call(),
                record.timeToRespond(),
                record.response(),
                record.causes(),
                record.consequence(),
                record.alsoHardwired(),
                explained(checks),
                rule.checks().size() - checks.size(),
                away,
                likely,
                STANDING_NOTE);
    }

    /** How exposed somebody is who does a check, in words: {@code look from outside}. */
    public static String exposure(int exposure) {
        return EXPOSURES.get(exposure);
    }

    // ---- keep-away

    /** The one place where checks go out to people: while people are to keep away, none but those at the screen. */
    private static List<FirstCheck> allowed(List<FirstCheck> checks, List<KeepAwayNotice> away) {
        return away.isEmpty()
                ? checks
                : checks.stream().filter(c -> c.exposure() == 0).toList();
    }

    private static List<Explanation.ExplainedCheck> explained(List<FirstCheck> checks) {
        return checks.stream()
                .map(c -> new Explanation.ExplainedCheck(c, EXPOSURES.get(c.exposure())))
                .toList();
    }

    /** From what people are to keep away now. */
    public List<KeepAwayNotice> keepAways(StationView view) {
        return view.standing().keptAway().stream().map(k -> keepAway(view, k)).toList();
    }

    private List<KeepAwayNotice> keepAways(StationView view, Collection<String> assets) {
        return view.standing().keptAway().stream()
                .filter(k -> assets.contains(k.asset()))
                .map(k -> keepAway(view, k))
                .toList();
    }

    private KeepAwayNotice keepAway(StationView view, Standing.KeepAway kept) {
        String name = name(kept.asset());
        List<String> reasons = kept.reasons().stream().map(r -> reason(view, r)).toList();
        return new KeepAwayNotice(
                kept.asset(),
                name,
                kept.since(),
                reasons,
                "Keep away from " + name + ": " + String.join("; ", reasons)
                        + ". Every check near it is withdrawn until the control room releases it.");
    }

    /** That people are to keep away from now on, or for one reason more. */
    public String keepAway(String assetName, StationEvent.KeptAway event, StationView view) {
        List<String> recorded = event.reasons();
        String reason = recorded.isEmpty() ? "" : reason(view, recorded.get(recorded.size() - 1));
        boolean more = event.kind() == StationEvent.KeptAway.Kind.ANOTHER_REASON;
        return "Keep away from " + assetName + " until the control room releases it"
                + (reason.isEmpty() ? "." : (more ? ", for one reason more: " : ": ") + reason + ".");
    }

    /** A reason as the fold recorded it, in words. */
    private String reason(StationView view, String recorded) {
        int space = recorded.indexOf(' ');
        String of = recorded.substring(space + 1);
        int slash = of.indexOf('/');
        if (recorded.startsWith("indication ") && slash > 0) {
            return text(Sign.of(new SignalId(of.substring(0, slash), of.substring(slash + 1))), view);
        }
        if (recorded.startsWith("alarm ") && slash > 0) {
            return text(Sign.of(new AlarmId(of.substring(0, slash), of.substring(slash + 1))), view);
        }
        CauseInstance cause = causes.get(of);
        return cause == null ? of : "it may be that " + cause.says();
    }

    /** The assets that somebody near an alarm's equipment is near to. */
    private List<String> assetsOf(RuleInstance rule) {
        List<String> assets = new ArrayList<>();
        assets.add(rule.asset().id());
        about(rule).forEach(d -> assets.add(d.asset()));
        return assets;
    }

    // ---- diagnosis

    private Explanation.@Nullable LikelyCause likely(StationView view, StationView.AlarmView alarm) {
        AlarmId id = alarm.rule().id();
        Diagnosis diagnosis = view.diagnosisOf(id);
        if (diagnosis == null) {
            Diagnosis unexplained = view.diagnoses().stream()
                    .filter(d -> d.unexplained().stream().anyMatch(s -> isOf(s, alarm.rule())))
                    .findFirst()
                    .orElse(null);
            if (unexplained == null || !alarm.state().active()) {
                return null;
            }
            Diagnosis.RankedCause first = firstThatExplains(unexplained, alarm.rule());
            return new Explanation.LikelyCause(
                    unexplained.id(),
                    "",
                    "",
                    0,
                    "None of the listed causes is likely to have produced it"
                            + (first == null
                                    ? "."
                                    : "; the first to think of: " + first.says() + " ("
                                            + Likelihood.percent(first.posterior()) + ")."));
        }
        Diagnosis.RankedCause cause = firstThatExplains(diagnosis, alarm.rule());
        return cause == null
                ? null
                : new Explanation.LikelyCause(
                        diagnosis.id(), cause.cause(), cause.says(), cause.posterior(), sentence(cause));
    }

    private static Diagnosis.@Nullable RankedCause firstThatExplains(Diagnosis diagnosis, RuleInstance rule) {
        return diagnosis.causes().stream()
                .filter(c -> c.explains().stream().anyMatch(s -> isOf(s, rule)))
                .findFirst()
                .orElse(null);
    }

    private static boolean isOf(Sign sign, RuleInstance rule) {
        return rule.id().equals(sign.alarm())
                || (sign.indication() != null && sign.indication().equals(CauseBinder.tellsTheSame(rule)));
    }

    private static String sentence(Diagnosis.RankedCause cause) {
        String percent = Likelihood.percent(cause.posterior());
        if (cause.posterior() < CLEAR) {
            return "No cause is clear yet; the likeliest (" + percent + "): " + cause.says() + ".";
        }
        String words = Likelihood.words(cause.posterior());
        boolean even = words.startsWith("about");
        return (even ? "Possible" : Character.toUpperCase(words.charAt(0)) + words.substring(1)) + " cause (" + percent
                + "): " + cause.says() + ".";
    }

    /** What a diagnosis of the view means for people. */
    public DiagnosisExplanation explain(StationView view, Diagnosis diagnosis) {
        Diagnosis.RankedCause likeliest = diagnosis.likeliest();
        List<KeepAwayNotice> away = keepAways(view, diagnosis.assets());
        List<FirstCheck> checks = checks(diagnosis);
        List<FirstCheck> allowed = allowed(checks, away);
        String subject = name(diagnosis.subject());
        String trust = trust(diagnosis);
        String what = likeliest == null ? unexplained(view, diagnosis) : likeliest.says();
        StringBuilder sentence = new StringBuilder(subject).append(": ");
        if (likeliest == null) {
            sentence.append(what).append(", and no listed cause explains it.");
        } else {
            sentence.append(sentence(likeliest));
            others(diagnosis, sentence);
            if (!diagnosis.unexplained().isEmpty()) {
                sentence.append(" Not explained: ")
                        .append(unexplained(view, diagnosis))
                        .append('.');
            }
            against(view, likeliest, sentence);
        }
        if (!trust.isEmpty()) {
            sentence.append(' ').append(trust);
        }
        away.forEach(a -> sentence.append(' ').append(a.text()));
        if (likeliest != null && !likeliest.call().isEmpty()) {
            Duration within = likeliest.respondWithin();
            sentence.append(" Call the ")
                    .append(likeliest.call())
                    .append(within == null ? "" : " within " + words(within))
                    .append('.');
        }
        return new DiagnosisExplanation(
                diagnosis,
                cut(subject + ": " + what),
                sentence.toString(),
                likeliest == null ? null : likeliest.trouble(),
                subject,
                trust,
                explained(allowed),
                checks.size() - allowed.size(),
                away,
                STANDING_NOTE);
    }

    /** The next causes to be reckoned with, and trouble of the transformer above all others. */
    private static void others(Diagnosis diagnosis, StringBuilder sentence) {
        List<Diagnosis.RankedCause> others = diagnosis.causes().stream()
                .skip(1)
                .filter(c -> c.posterior() >= Diagnosis.KEEPS_AWAY)
                .limit(3)
                .toList();
        if (!others.isEmpty()) {
            sentence.append(" Otherwise: ")
                    .append(String.join(
                            "; ",
                            others.stream()
                                    .map(c -> c.says() + " (" + Likelihood.percent(c.posterior()) + ")")
                                    .toList()))
                    .append('.');
        }
    }

    private void against(StationView view, Diagnosis.RankedCause likeliest, StringBuilder sentence) {
        if (!likeliest.against().isEmpty()) {
            sentence.append(" Against it speaks that this does not hold: ")
                    .append(String.join(
                            "; ",
                            likeliest.against().stream().map(s -> text(s, view)).toList()))
                    .append('.');
        }
    }

    private String unexplained(StationView view, Diagnosis diagnosis) {
        List<Sign> signs =
                diagnosis.unexplained().isEmpty() ? List.of(diagnosis.firstOut().sign()) : diagnosis.unexplained();
        return String.join("; ", signs.stream().map(s -> text(s, view)).toList());
    }

    private String trust(Diagnosis diagnosis) {
        List<SignalId> worthless = diagnosis.doubtful().stream()
                .filter(Diagnosis.DoubtedReading::worthless)
                .map(Diagnosis.DoubtedReading::reading)
                .distinct()
                .toList();
        List<SignalId> doubtful = diagnosis.doubtful().stream()
                .map(Diagnosis.DoubtedReading::reading)
                .distinct()
                .filter(r -> !worthless.contains(r))
                .toList();
        List<String> sentences = new ArrayList<>();
        if (!worthless.isEmpty()) {
            sentences.add("With this cause the " + named(worthless, "worthless") + ".");
        }
        if (!doubtful.isEmpty()) {
            sentences.add("With this cause the " + named(doubtful, "doubtful") + ".");
        }
        return String.join(" ", sentences);
    }

    /** The checks of the causes to be reckoned with, by exposure, and then by what they are expected to tell a minute. */
    private List<FirstCheck> checks(Diagnosis diagnosis) {
        List<BoundCheck> named = new ArrayList<>();
        for (Diagnosis.RankedCause cause : diagnosis.causes()) {
            String device = cause.device();
            if (device != null && cause.posterior() >= Diagnosis.KEEPS_AWAY) {
                cause.firstChecks().stream()
                        .flatMap(name -> network.check(device + "." + name).stream())
                        .filter(c -> !named.contains(c))
                        .forEach(named::add);
            }
        }
        return CheckChoice.inOrder(Belief.of(diagnosis.inference()), named).stream()
                .map(BoundCheck::check)
                .distinct()
                .toList();
    }

    /** A sign in words: {@code gas monitor: oil flow too low}, or what an alarm says. */
    public String text(Sign sign, StationView view) {
        SignalId indication = sign.indication();
        if (indication != null) {
            StationFacts.Device device = devices.get(indication.owner());
            String what =
                    indication.name().equals(DeviceKind.COMMUNICATION_LOST) ? "does not answer" : text(indication);
            return device == null ? what : device.name() + " of " + name(device.asset()) + ": " + what;
        }
        AlarmId id = sign.alarm();
        StationView.AlarmView alarm = id == null ? null : view.alarms().get(id);
        return alarm == null ? String.valueOf(id) : alarm.rule().asset().name() + ": " + words(alarm);
    }

    // ---- what happened

    private static String words(StationView.AlarmView alarm) {
        String says = filled(alarm.rule().rule().says(), alarm);
        if (alarm.state().active() || alarm.state().occurrence() == 0) {
            return says;
        }
        if (alarm.state().condition() == null) {
            // Void evidence: it has not come back to normal, nobody knows yet.
            return "seen in maintenance and does not count: \"" + named(alarm) + "\"";
        }
        String after = alarm.rule().rule().saysAfter();
        return after.isEmpty() ? "over: " + says : filled(after, alarm);
    }

    /** The words of an alarm as its name, while they are not true. */
    private static String named(StationView.AlarmView alarm) {
        Double limit = alarm.limit();
        String shown = alarm.rule().condition() instanceof Condition.Limited level && limit != null
                ? PlainNumber.of(limit) + unit(level)
                : NO_VALUE;
        return Words.filled(alarm.rule().rule().says(), alarm.rule(), NO_VALUE, shown);
    }

    /** What the sentence says of it: an alarm that has never been active has nothing to say but that. */
    private static String happened(StationView.AlarmView alarm) {
        AlarmState state = alarm.state();
        return state.active() || state.occurrence() > 0
                ? words(alarm)
                : "the alarm \"" + named(alarm) + "\" is not active";
    }

    private static String filled(String words, StationView.AlarmView alarm) {
        if (!(alarm.rule().condition() instanceof Condition.Limited level)) {
            return Words.filled(words, alarm.rule(), NOT_KNOWN, NOT_KNOWN);
        }
        Optional<LevelEvidence> recorded = LevelEvidence.in(alarm.evidence());
        Double value = alarm.value();
        Double limit = alarm.limit();
        if (value == null || limit == null) {
            limit = recorded.map(LevelEvidence::limit).orElse(limit);
        }
        if (value == null) {
            value = recorded.map(LevelEvidence::value).orElse(null);
        }
        String shownLimit = limit == null ? NOT_KNOWN : PlainNumber.of(limit) + unit(level);
        String shownValue = value == null
                ? NOT_KNOWN
                : (limit == null ? PlainNumber.spoken(value) : PlainNumber.spoken(value, limit)) + unit(level);
        String age = alarm.state().quality() == Quality.BAD && !shownValue.equals(NOT_KNOWN) ? "last " : "";
        return Words.filled(words, alarm.rule(), age + shownValue, shownLimit);
    }

    private static String unit(Condition.Limited level) {
        return level.unit().isEmpty() ? "" : " " + level.unit();
    }

    private static String cut(String headline) {
        if (headline.length() <= RuleBinder.LONGEST_HEADLINE) {
            return headline;
        }
        String mark = "...";
        int most = RuleBinder.LONGEST_HEADLINE - mark.length();
        int space = headline.lastIndexOf(' ', most);
        return headline.substring(0, space > most / 2 ? space : most) + mark;
    }

    private static String sentence(
            String asset,
            String words,
            Trust trust,
            Explanation.@Nullable LikelyCause likely,
            List<KeepAwayNotice> away,
            String standing,
            String todo) {
        StringBuilder sentence =
                new StringBuilder(asset).append(": ").append(words).append('.');
        // Why is said where the keep-away itself is told; here it would bury the alarm.
        away.forEach(a -> sentence.append(" Keep away from ")
                .append(a.assetName())
                .append(" until the control room releases it."));
        if (!trust.text().isEmpty()) {
            sentence.append(' ').append(trust.text());
        }
        if (likely != null) {
            sentence.append(' ').append(likely.text());
        }
        sentence.append(standing);
        if (!todo.isEmpty()) {
            sentence.append(' ').append(todo);
        }
        return sentence.toString();
    }

    /** What persons have set on the station that bears on an alarm, as sentences with a space before each. */
    private String standing(Standing.@Nullable Maintenance maintenance, Standing.@Nullable AlarmTest test) {
        StringBuilder standing = new StringBuilder();
        if (maintenance != null) {
            standing.append(" In maintenance: ")
                    .append(name(maintenance.of()))
                    .append(", ")
                    .append(maintenance.by().name())
                    .append(", permit ")
                    .append(maintenance.permit())
                    .append(maintenance.reminded() ? "; the time stated for it is over." : ".");
        }
        if (test != null) {
            standing.append(" A point test by ")
                    .append(test.by().name())
                    .append(" shows it to the control room as ")
                    .append(test.forced() ? "active." : "normal.");
        }
        return standing.toString();
    }

    /** Name for people of a device, an asset or a shared thing. */
    public String name(String deviceOrAsset) {
        StationFacts.Device device = devices.get(deviceOrAsset);
        return device != null
                ? device.name()
                : facts.asset(deviceOrAsset)
                        .map(StationFacts.Asset::name)
                        .or(() -> facts.shared().stream()
                                .filter(s -> s.id().equals(deviceOrAsset))
                                .map(Shared::name)
                                .findFirst())
                        .orElse(deviceOrAsset);
    }

    /** What is asked of the operator now. */
    private static String todo(StationView.AlarmView alarm, boolean inMaintenance) {
        AlarmState state = alarm.state();
        OutOfService service = state.outOfService();
        if (service != null) {
            boolean said = inMaintenance || service.reason().isEmpty();
            return "It is out of service" + (said ? "." : ": " + service.reason() + ".");
        }
        Rationalization record = alarm.rule().rule().record();
        if (state.active()) {
            Duration within = record.timeToRespond();
            String time = within == null ? "" : " within " + words(within);
            if (!record.call().isEmpty()) {
                return "Call the " + record.call() + time + ".";
            }
            return within == null ? "" : "Respond" + time + ".";
        }
        if (state.latched()) {
            return state.acknowledged()
                    ? "It is latched and needs a reset."
                    : "It is latched; acknowledge, then reset it.";
        }
        return state.acknowledged() ? "" : "Acknowledge it.";
    }

    /** {@code 3 days}, {@code 36 hours}, {@code 15 minutes}: in the largest unit that needs no fraction. */
    static String words(Duration duration) {
        long seconds = duration.toSeconds();
        if (seconds > 0 && seconds % 86_400 == 0) {
            return counted(seconds / 86_400, "day");
        }
        if (seconds > 0 && seconds % 3_600 == 0) {
            return counted(seconds / 3_600, "hour");
        }
        if (seconds > 0 && seconds % 60 == 0) {
            return counted(seconds / 60, "minute");
        }
        return counted(seconds, "second");
    }

    private static String counted(long count, String noun) {
        return count + " " + noun + (count == 1 ? "" : "s");
    }

    private static String troubleText(RuleInstance rule) {
        // What is computed speaks of the monitor that it is computed from.
        boolean computed = rule.device() != null && rule.device().kind().map().equals(DerivedSignals.MAP);
        String device =
                rule.device() == null || computed ? "monitor" : rule.device().name();
        return switch (rule.rule().record().trouble()) {
            case TRANSFORMER -> "Trouble of the transformer or its cooling.";
            case MONITOR -> "Trouble of the " + device + ", not of the transformer.";
            case COMMUNICATION ->
                "Trouble of communication with the " + device
                        + ", not of the transformer; what happens in the transformer is not seen by it meanwhile.";
            case GATEWAY -> "Trouble of the gateway, not of the transformer.";
        };
    }

    // ---- trust

    /** Whether what is read can be taken at face value, in one or more sentences. */
    private record Trust(boolean good, String text) {}

    private Trust trust(StationView view, StationView.AlarmView alarm) {
        RuleInstance rule = alarm.rule();
        StationFacts.Device itself = rule.device();
        for (Shared shared : facts.shared()) {
            if (itself != null && itself.id().equals(shared.id())) {
                return trust(shared, alarm.state());
            }
        }
        Trouble trouble = rule.rule().record().trouble();
        List<StationFacts.Device> about = about(rule);
        List<String> silent = new ArrayList<>();
        for (StationFacts.Device device : about) {
            StationView.DeviceView seen = view.devices().get(device.id());
            if (seen != null && seen.lost()) {
                silent.add(device.name());
            }
        }
        if (!silent.isEmpty()) {
            String who = String.join(" and the ", silent);
            return new Trust(
                    false,
                    alarm.rule().condition() instanceof Condition.CommunicationLost
                            ? "Its readings are not received, and its other alarms stay as they were."
                            : "The " + who + " does not answer, so it cannot be told whether this still holds.");
        }
        boolean monitorItself = trouble == Trouble.MONITOR || trouble == Trouble.COMMUNICATION;
        if (monitorItself && rule.device() != null && computed(rule.device().id())) {
            return new Trust(
                    false,
                    "Whether the monitor's readings are right or what they were compared with is not told by this.");
        }
        List<String> faults = monitorItself ? faultsOfDevices(view, alarm, about) : faultsOfInputs(view, alarm);
        if (!faults.isEmpty()) {
            return new Trust(false, String.join(" ", faults));
        }
        boolean untellable =
                alarm.state().quality() == Quality.BAD && alarm.state().occurrence() > 0;
        String whether = untellable ? "It cannot be told at present whether this still holds." : "";
        if (rule.condition() instanceof Condition.CommunicationLost) {
            return new Trust(true, "Its readings are received again.");
        }
        if (monitorItself) {
            String group = about.isEmpty() ? "" : group(about.get(0));
            String readings = "Its " + (group.isEmpty() ? "" : group + " ") + "readings can still be trusted.";
            return new Trust(true, untellable ? whether + " " + readings : readings);
        }
        if (untellable) {
            return new Trust(false, whether);
        }
        if (trouble == Trouble.GATEWAY) {
            return new Trust(true, "");
        }
        Condition condition = rule.condition();
        if (condition instanceof Condition.Composed || condition instanceof Condition.Discrepancy) {
            return new Trust(true, "What it is judged from can be trusted.");
        }
        boolean reading = condition instanceof Condition.Limited || condition instanceof Condition.Overdue;
        return new Trust(true, reading ? "The reading can be trusted." : "The indication can be trusted.");
    }

    /** Of an alarm on what several devices share: whom nothing is received from. */
    private Trust trust(Shared shared, AlarmState state) {
        if (!state.active()) {
            return new Trust(true, "");
        }
        List<String> names = new ArrayList<>();
        for (String id : shared.devices()) {
            StationFacts.Device device = devices.get(id);
            if (device != null) {
                String of =
                        facts.asset(device.asset()).map(a -> " of " + a.name()).orElse("");
                names.add("the " + device.name() + of);
            }
        }
        String last = names.isEmpty() ? "" : names.remove(names.size() - 1);
        String who = names.isEmpty() ? last : String.join(", ", names) + " and " + last;
        return new Trust(false, "Nothing is received from " + who + "; their other alarms stay as they were.");
    }

    private List<StationFacts.Device> about(RuleInstance rule) {
        List<StationFacts.Device> about = new ArrayList<>();
        if (rule.device() != null) {
            about.add(rule.device());
        }
        for (SignalId input : rule.inputs()) {
            StationFacts.Device device = devices.get(input.owner());
            if (device != null && !about.contains(device)) {
                about.add(device);
            }
        }
        return about;
    }

    /** The name of the readings that the device is there for; empty where the map groups none. */
    private static String group(StationFacts.Device device) {
        return device.kind().points().stream()
                .map(DeviceKind.Point::group)
                .filter(g -> !g.isEmpty())
                .findFirst()
                .map(Explainer::spoken)
                .orElse("");
    }

    /** A group's name as people say it. */
    private static String spoken(String group) {
        return group.replace('-', ' ');
    }

    private List<String> faultsOfDevices(
            StationView view, StationView.AlarmView alarm, List<StationFacts.Device> about) {
        List<String> faults = doubts(view, alarm.doubted(), true);
        for (StationFacts.Device device : about) {
            StationView.DeviceView seen = view.devices().get(device.id());
            if (seen != null) {
                faults.addAll(outOfDate(seen, alarm.doubted()));
            }
        }
        return faults;
    }

    private List<String> faultsOfInputs(StationView view, StationView.AlarmView alarm) {
        List<SignalId> inputs = alarm.rule().inputs();
        List<String> faults = doubts(
                view,
                alarm.doubted().stream()
                        .filter(d -> inputs.contains(d.reading()))
                        .toList(),
                false);
        if (!faults.isEmpty()) {
            return faults;
        }
        for (SignalId input : inputs) {
            StationView.DeviceView device = view.devices().get(input.owner());
            if (device == null) {
                continue;
            }
            for (StationView.TrustedReading reading : device.readings()) {
                QualityReason reason = reading.reading().reason();
                if (reading.reading().id().equals(input) && reason != QualityReason.NONE && computed(input.owner())) {
                    faults.add((reason.quality() == Quality.BAD ? "That cannot be told: " : "That is uncertain: ")
                            + words(reason) + ".");
                } else if (reading.reading().id().equals(input) && reason != QualityReason.NONE) {
                    faults.add("The " + label(input) + " reading is "
                            + (reason.quality() == Quality.BAD ? "not usable" : "uncertain") + ": " + words(reason)
                            + ".");
                }
            }
            if (computed(input.owner())) {
                for (Indication indication : device.indications()) {
                    if (indication.id().equals(input) && indication.reason().quality() == Quality.UNCERTAIN) {
                        faults.add("That is uncertain: " + words(indication.reason()) + ".");
                    }
                }
            }
        }
        return faults;
    }

    /** One sentence for all readings that are doubtful for the same reasons. */
    private List<String> doubts(StationView view, List<StationEvent.Doubt> doubted, boolean its) {
        List<SignalId> worthless = doubted.stream()
                .filter(StationEvent.Doubt::worthless)
                .map(StationEvent.Doubt::reading)
                .toList();
        Map<SignalId, List<SignalId>> reasons = new LinkedHashMap<>();
        for (StationEvent.Doubt doubt : doubted) {
            // Beside a reason that makes it worthless, one that makes it doubtful says nothing more.
            if (doubt.worthless() || !worthless.contains(doubt.reading())) {
                reasons.computeIfAbsent(doubt.reading(), r -> new ArrayList<>()).add(doubt.because());
            }
        }
        Map<List<SignalId>, List<SignalId>> alike = new LinkedHashMap<>();
        reasons.forEach((reading, because) ->
                alike.computeIfAbsent(because, b -> new ArrayList<>()).add(reading));
        List<String> sentences = new ArrayList<>();
        alike.forEach((because, readings) -> {
            String how = worthless.contains(readings.get(0)) ? "worthless now" : "doubtful";
            List<String> causes = because.stream().map(b -> cause(view, b)).toList();
            sentences.add((its ? "Its " : "The ") + named(readings, how) + ": " + String.join("; ", causes) + ".");
        });
        return sentences;
    }

    private String cause(StationView view, SignalId because) {
        StationView.DeviceView device = view.devices().get(because.owner());
        boolean over = device != null
                && device.indications().stream()
                        .anyMatch(i -> i.id().equals(because) && i.state() == IndicationState.DOES_NOT_HOLD);
        return text(because) + (over ? " until recently" : "");
    }

    private List<String> outOfDate(StationView.DeviceView seen, List<StationEvent.Doubt> doubted) {
        List<SignalId> alreadyTold =
                doubted.stream().map(StationEvent.Doubt::reading).toList();
        List<SignalId> stale = new ArrayList<>();
        Map<QualityReason, List<SignalId>> bad = new LinkedHashMap<>();
        for (StationView.TrustedReading reading : seen.readings()) {
            SignalId id = reading.reading().id();
            QualityReason reason = reading.reading().reason();
            if (alreadyTold.contains(id)
                    || reason == QualityReason.NONE
                    || reason == QualityReason.NOT_YET_READ
                    || reason == QualityReason.NO_INPUT
                    || reason == QualityReason.NOT_COVERED
                    || reason == QualityReason.TOO_LITTLE_DATA
                    || reason == QualityReason.NO_CLEAR_ANSWER) {
                continue;
            }
            if (reason == QualityReason.STALE) {
                stale.add(id);
            } else {
                bad.computeIfAbsent(reason, r -> new ArrayList<>()).add(id);
            }
        }
        List<String> sentences = new ArrayList<>();
        if (!stale.isEmpty()) {
            sentences.add("Its " + named(stale, "out of date") + ".");
        }
        bad.forEach((reason, readings) -> sentences.add(
                reason == QualityReason.IN_MAINTENANCE
                        ? "Its readings do not count: in maintenance."
                        : "Its " + named(readings, reason.quality() == Quality.BAD ? "not usable" : "uncertain") + ": "
                                + words(reason) + "."));
        return sentences;
    }

    /** {@code gas readings are doubtful} where these are all of a group, otherwise with their labels. */
    private String named(List<SignalId> readings, String how) {
        List<String> names = new ArrayList<>();
        for (SignalId reading : readings) {
            DeviceKind.Point point = point(reading);
            String group = point == null ? "" : point.group();
            boolean whole = !group.isEmpty() && readings.containsAll(members(reading.owner(), group));
            String name = whole ? spoken(group) : label(reading);
            if (!names.contains(name)) {
                names.add(name);
            }
        }
        if (names.size() > 4) {
            return names.size() + " readings (" + String.join(", ", names.subList(0, 3)) + " and others) are " + how;
        }
        String last = names.get(names.size() - 1);
        String list = names.size() == 1 ? last : String.join(", ", names.subList(0, names.size() - 1)) + " and " + last;
        return list + (readings.size() == 1 ? " reading is " : " readings are ") + how;
    }

    private List<SignalId> members(String owner, String group) {
        StationFacts.Device device = devices.get(owner);
        return device == null
                ? List.of()
                : device.kind().points().stream()
                        .filter(p -> p.group().equals(group))
                        .map(p -> new SignalId(owner, p.name()))
                        .toList();
    }

    private DeviceKind.@Nullable Point point(SignalId id) {
        StationFacts.Device device = devices.get(id.owner());
        return device == null ? null : device.kind().point(id.name()).orElse(null);
    }

    private String label(SignalId id) {
        DeviceKind.Point point = point(id);
        return point == null ? id.name() : point.label();
    }

    private String text(SignalId indication) {
        StationFacts.Device device = devices.get(indication.owner());
        return device == null
                ? indication.name()
                : device.kind()
                        .indication(indication.name())
                        .map(DeviceKind.NamedIndication::text)
                        .orElse(indication.name());
    }

    /** Whether a device is the derived one of a transformer, whose readings are computed. */
    private boolean computed(String device) {
        StationFacts.Device known = devices.get(device);
        return known != null && known.kind().map().equals(DerivedSignals.MAP);
    }

    private static String words(QualityReason reason) {
        return switch (reason) {
            case HANGS_ON_DISPUTED -> "copies of the standard disagree on a figure that it hangs on";
            case CHANGES_WITHIN_ERROR -> "an error of measurement may have made it";
            case MADE_IN_MAINTENANCE -> "made in maintenance, and nothing has come since that counts";
            case INPUT_GAP -> "something that it is computed from is or was missing, or does not count";
            default -> reason.name().toLowerCase(Locale.ROOT).replace('_', ' ');
        };
    }
}
