package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.StationFacts;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** Finds the likely causes of signs that hold. Immutable, thread-safe. */
public final class Diagnostician {
    private final StationCauses network;
    /** For each sign the causes that produce it. */
    private final int[][] producers;

    private final int[] groupOfSign;
    private final int[][] signsOfGroup;

    public Diagnostician(StationCauses network) {
        this.network = network;
        this.producers = producers(network);
        this.groupOfSign = groups();
        int groups = 0;
        for (int group : groupOfSign) {
            groups = Math.max(groups, group + 1);
        }
        List<List<Integer>> signs = new ArrayList<>();
        for (int group = 0; group < groups; group++) {
            signs.add(new ArrayList<>());
        }
        for (int sign = 0; sign < groupOfSign.length; sign++) {
            signs.get(groupOfSign[sign]).add(sign);
        }
        this.signsOfGroup = new int[groups][];
        for (int group = 0; group < groups; group++) {
            signsOfGroup[group] = ints(signs.get(group));
        }
    }

    private static int[][] producers(StationCauses network) {
        List<List<Integer>> producers = new ArrayList<>();
        network.signs().forEach(s -> producers.add(new ArrayList<>()));
        for (int cause = 0; cause < network.causes().size(); cause++) {
            for (CauseInstance.Edge edge : network.causes().get(cause).edges()) {
                producers.get(edge.sign()).add(cause);
            }
        }
        return producers.stream().map(Diagnostician::ints).toArray(int[][]::new);
    }

    private static int[] ints(List<Integer> list) {
        return list.stream().mapToInt(Integer::intValue).toArray();
    }

    private int[] groups() {
        int[] group = new int[producers.length];
        java.util.Arrays.fill(group, -1);
        int next = 0;
        for (int start = 0; start < group.length; start++) {
            if (group[start] >= 0) {
                continue;
            }
            List<Integer> found = new ArrayList<>(List.of(start));
            group[start] = next;
            for (int i = 0; i < found.size(); i++) {
                for (int cause : producers[found.get(i)]) {
                    for (CauseInstance.Edge edge : network.causes().get(cause).edges()) {
                        if (group[edge.sign()] < 0) {
                            group[edge.sign()] = next;
                            found.add(edge.sign());
                        }
                    }
                }
            }
            next++;
        }
        return group;
    }

    public StationCauses network() {
        return network;
    }

    /** Number of groups of signs between which no cause reaches. */
    public int groupCount() {
        return signsOfGroup.length;
    }

    public int groupOf(int sign) {
        return groupOfSign[sign];
    }

    /** The group that a cause reaches into. */
    public int groupOfCause(int cause) {
        return groupOfSign[network.causes().get(cause).edges().get(0).sign()];
    }

    /** Signs that hang together by causes that produce them, and what is made of them. */
    public record Finding(
            List<Integer> signs,
            String subject,
            List<String> assets,
            Moment since,
            List<Diagnosis.RankedCause> causes,
            List<CauseInstance> instances,
            List<Diagnosis.SignState> states,
            List<Sign> unexplained,
            Diagnosis.FirstOut firstOut,
            List<Diagnosis.DoubtedReading> doubtful,
            Map<String, Double> keepAway,
            Inference inference,
            long changesAt) {
        public Finding {
            signs = List.copyOf(signs);
            assets = List.copyOf(assets);
            causes = List.copyOf(causes);
            instances = List.copyOf(instances);
            states = List.copyOf(states);
            unexplained = List.copyOf(unexplained);
            doubtful = List.copyOf(doubtful);
        }
    }

    /** What is made of the signs of a group that hold; nothing where none does. */
    public List<Finding> findings(int group, Evidence evidence, Moment now) {
        List<Finding> findings = new ArrayList<>();
        boolean[] taken = new boolean[producers.length];
        for (int sign : signsOfGroup[group]) {
            if (!taken[sign] && evidence.told(sign) == Diagnosis.Told.HOLDS) {
                findings.add(finding(sign, taken, evidence, now));
            }
        }
        return findings;
    }

    private Finding finding(int first, boolean[] taken, Evidence evidence, Moment now) {
        List<Integer> signs = new ArrayList<>(List.of(first));
        List<Integer> causes = new ArrayList<>();
        taken[first] = true;
        for (int i = 0; i < signs.size(); i++) {
            for (int cause : producers[signs.get(i)]) {
                if (!causes.contains(cause)) {
                    causes.add(cause);
                    for (CauseInstance.Edge edge : network.causes().get(cause).edges()) {
                        if (!taken[edge.sign()] && evidence.told(edge.sign()) == Diagnosis.Told.HOLDS) {
                            taken[edge.sign()] = true;
                            signs.add(edge.sign());
                        }
                    }
                }
            }
        }
        signs.sort(null);
        causes.sort(null);
        return new Reasoning(signs, causes, evidence, now).finding();
    }

    /** One set of signs that hold and their causes. */
    private final class Reasoning {
        private final List<Integer> signs;
        private final List<Integer> causes;
        private final Evidence evidence;
        private final Moment now;
        private final Map<Integer, Integer> place = new LinkedHashMap<>();
        private long changesAt = Long.MAX_VALUE;

        Reasoning(List<Integer> signs, List<Integer> causes, Evidence evidence, Moment now) {
            this.signs = signs;
            this.causes = causes;
            this.evidence = evidence;
            this.now = now;
            for (int k = 0; k < signs.size(); k++) {
                place.put(signs.get(k), k);
            }
        }

        Finding finding() {
            Moment since = now;
            for (int sign : signs) {
                since = earlier(since, since(sign));
            }
            Duration window = Prior.window(now.monotonicNanos() - since.monotonicNanos());
            double[] prior = new double[causes.size()];
            double[] without = new double[causes.size()];
            double[] with = new double[causes.size()];
            double[][] strength = new double[causes.size()][signs.size()];
            List<List<Inference.Link>> links = new ArrayList<>();
            List<List<Diagnosis.SupportSeen>> supports = new ArrayList<>();
            double[] support = new double[causes.size()];
            double[] absent = new double[causes.size()];
            for (int i = 0; i < causes.size(); i++) {
                CauseInstance cause = network.causes().get(causes.get(i));
                List<Inference.Link> linked = links(cause, strength[i]);
                List<Diagnosis.SupportSeen> seen = supports(cause);
                links.add(linked);
                supports.add(seen);
                prior[i] = Prior.of(cause.cause().rate(), window);
                support[i] = 1;
                seen.forEach(new Multiplying(support, i)::by);
                absent[i] = 1;
                for (Inference.Link link : linked) {
                    absent[i] *=
                            link.counted() && link.told() == Diagnosis.Told.DOES_NOT_HOLD ? 1 - link.probability() : 1;
                }
                without[i] = 1 - prior[i];
                with[i] = prior[i] * support[i] * absent[i];
            }
            double[] leak = new double[signs.size()];
            for (int k = 0; k < leak.length; k++) {
                leak[k] = Prior.of(network.otherwise().get(signs.get(k)), window);
            }
            NoisyOrSum.Result sum = NoisyOrSum.of(without, with, strength, leak);
            List<Inference.CauseTerm> terms = new ArrayList<>();
            for (int i = 0; i < causes.size(); i++) {
                CauseInstance cause = network.causes().get(causes.get(i));
                terms.add(new Inference.CauseTerm(
                        cause.id(),
                        cause.cause().rate().perYear(),
                        cause.cause().rate().origin(),
                        prior[i],
                        support[i],
                        absent[i],
                        sum.causes()[i],
                        links.get(i)));
            }
            List<Inference.SignTerm> signTerms = new ArrayList<>();
            List<Sign> unexplained = new ArrayList<>();
            for (int k = 0; k < signs.size(); k++) {
                Rate rate = network.otherwise().get(signs.get(k));
                Sign sign = network.signs().get(signs.get(k));
                signTerms.add(new Inference.SignTerm(sign, rate.perYear(), rate.origin(), leak[k], sum.unlisted()[k]));
                if (sum.unlisted()[k] > Diagnosis.LIKELY || sum.total() <= 0) {
                    unexplained.add(sign);
                }
            }
            Inference inference = new Inference(window, terms, signTerms, sum.total(), sum.method(), sum.error());
            return told(since, inference, prior, links, supports, unexplained);
        }

        private Moment since(int sign) {
            Moment since = evidence.since(sign);
            return since == null ? now : since;
        }

        private Moment earlier(Moment one, Moment other) {
            return one.monotonicNanos() <= other.monotonicNanos() ? one : other;
        }

        /** The signs of a cause; strengths of those that hold are put in their places. */
        private List<Inference.Link> links(CauseInstance cause, double[] strength) {
            Moment onset = now;
            for (CauseInstance.Edge edge : cause.edges()) {
                Integer k = place.get(edge.sign());
                if (k != null && !edge.outlasted(heldNanos(edge.sign()))) {
                    strength[k] = edge.probability();
                    onset = earlier(onset, since(edge.sign()));
                }
            }
            List<Inference.Link> links = new ArrayList<>();
            for (CauseInstance.Edge edge : cause.edges()) {
                Diagnosis.Told told = evidence.told(edge.sign());
                Duration lasts = edge.lasts();
                boolean counted = false;
                if (told == Diagnosis.Told.HOLDS) {
                    counted = !edge.outlasted(heldNanos(edge.sign()));
                    if (counted && lasts != null) {
                        changesAt = Math.min(changesAt, since(edge.sign()).monotonicNanos() + lasts.toNanos() + 1);
                    }
                } else if (told == Diagnosis.Told.DOES_NOT_HOLD && lasts == null) {
                    long shows = onset.monotonicNanos() + edge.within().toNanos();
                    counted = shows <= now.monotonicNanos();
                    changesAt = counted ? changesAt : Math.min(changesAt, shows);
                }
                links.add(new Inference.Link(
                        network.signs().get(edge.sign()), edge.probability(), edge.within(), lasts, told, counted));
            }
            return links;
        }

        private long heldNanos(int sign) {
            return now.monotonicNanos() - since(sign).monotonicNanos();
        }

        private List<Diagnosis.SupportSeen> supports(CauseInstance cause) {
            List<Diagnosis.SupportSeen> seen = new ArrayList<>();
            for (CauseInstance.BoundSupport support : cause.supports()) {
                Boolean is = Diagnostician.seen(support, evidence);
                double factor = is == null
                        ? 1
                        : is ? support.support().ratio() : support.support().otherwise();
                seen.add(new Diagnosis.SupportSeen(support.signal(), text(support), is, factor));
            }
            return seen;
        }

        private Finding told(
                Moment since,
                Inference inference,
                double[] prior,
                List<List<Inference.Link>> links,
                List<List<Diagnosis.SupportSeen>> supports,
                List<Sign> unexplained) {
            List<Integer> ranked = new ArrayList<>();
            Map<String, Double> keepAway = new LinkedHashMap<>();
            for (int i = 0; i < causes.size(); i++) {
                double posterior = inference.causes().get(i).posterior();
                if (posterior >= Diagnosis.LISTED) {
                    ranked.add(i);
                }
                CauseInstance cause = network.causes().get(causes.get(i));
                if (cause.cause().keepAway()) {
                    keepAway.put(cause.id(), posterior);
                }
            }
            ranked.sort(
                    Comparator.comparingDouble(i -> -inference.causes().get(i).posterior()));
            List<Diagnosis.RankedCause> told = new ArrayList<>();
            List<CauseInstance> instances = new ArrayList<>();
            List<Diagnosis.DoubtedReading> doubtful = new ArrayList<>();
            Map<Integer, Boolean> shown = new LinkedHashMap<>();
            signs.forEach(s -> shown.put(s, true));
            for (int i : ranked) {
                CauseInstance cause = network.causes().get(causes.get(i));
                double posterior = inference.causes().get(i).posterior();
                instances.add(cause);
                told.add(ranked(cause, prior[i], posterior, links.get(i), supports.get(i)));
                cause.edges().forEach(e -> shown.put(e.sign(), true));
                if (posterior >= Diagnosis.LIKELY) {
                    cause.makes()
                            .forEach(m -> doubtful.add(new Diagnosis.DoubtedReading(
                                    m.reading(), m.worthless(), cause.id(), m.periodsAfter())));
                }
            }
            List<Diagnosis.SignState> states = new ArrayList<>();
            for (int sign : shown.keySet().stream().sorted().toList()) {
                states.add(new Diagnosis.SignState(
                        network.signs().get(sign),
                        evidence.told(sign),
                        evidence.since(sign),
                        evidence.uncertainty(sign),
                        evidence.asLastTold(sign)));
            }
            return new Finding(
                    signs,
                    subject(instances),
                    assets(instances),
                    since,
                    told,
                    instances,
                    states,
                    unexplained,
                    firstOut(),
                    doubtful,
                    keepAway,
                    inference,
                    changesAt);
        }

        private static Diagnosis.RankedCause ranked(
                CauseInstance cause,
                double prior,
                double posterior,
                List<Inference.Link> links,
                List<Diagnosis.SupportSeen> supports) {
            List<Sign> explains = new ArrayList<>();
            List<Sign> against = new ArrayList<>();
            List<Sign> awaited = new ArrayList<>();
            for (Inference.Link link : links) {
                switch (link.told()) {
                    case HOLDS -> {
                        if (link.counted()) {
                            explains.add(link.sign());
                        }
                    }
                    case DOES_NOT_HOLD -> {
                        if (link.counted()) {
                            against.add(link.sign());
                        } else if (link.lasts() == null) {
                            awaited.add(link.sign());
                        }
                    }
                    case CANNOT_BE_TOLD -> {
                        // it says nothing
                    }
                }
            }
            Cause of = cause.cause();
            return new Diagnosis.RankedCause(
                    cause.id(),
                    cause.says(),
                    of.trouble(),
                    cause.assets().get(0).id(),
                    cause.device() == null ? null : cause.device().id(),
                    prior,
                    posterior,
                    explains,
                    against,
                    awaited,
                    supports.stream().filter(s -> s.factor() != 1).toList(),
                    of.keepAway(),
                    of.call(),
                    of.respondWithin(),
                    of.spares(),
                    of.tools(),
                    of.firstChecks());
        }

        /** The shared thing or the asset of the likeliest cause; where there is none, the asset of the first sign. */
        private String subject(List<CauseInstance> instances) {
            if (instances.isEmpty()) {
                return assetOf(signs.get(0)).id();
            }
            CauseInstance likeliest = instances.get(0);
            return likeliest.shared() != null
                    ? likeliest.shared().id()
                    : likeliest.assets().get(0).id();
        }

        private StationFacts.Asset assetOf(int sign) {
            return network.causes().get(producers[sign][0]).assets().get(0);
        }

        private List<String> assets(List<CauseInstance> instances) {
            List<String> assets = new ArrayList<>();
            for (CauseInstance instance : instances) {
                instance.assets().stream()
                        .map(StationFacts.Asset::id)
                        .filter(a -> !assets.contains(a))
                        .forEach(assets::add);
            }
            if (assets.isEmpty()) {
                assets.add(assetOf(signs.get(0)).id());
            }
            return assets;
        }

        private Diagnosis.FirstOut firstOut() {
            int first = signs.get(0);
            for (int sign : signs) {
                if (since(sign).monotonicNanos() < since(first).monotonicNanos()) {
                    first = sign;
                }
            }
            long at = since(first).monotonicNanos();
            List<Sign> orOneOf = new ArrayList<>();
            for (int sign : signs) {
                // It began within its own period before it was seen, and so did the first.
                long earliest = since(sign).monotonicNanos()
                        - evidence.uncertainty(sign).toNanos();
                if (sign != first && earliest < at) {
                    orOneOf.add(network.signs().get(sign));
                }
            }
            return new Diagnosis.FirstOut(
                    network.signs().get(first), since(first), evidence.uncertainty(first), orOneOf);
        }
    }

    /** Multiplies factors up in their place. */
    private record Multiplying(double[] products, int place) {
        void by(Diagnosis.SupportSeen seen) {
            products[place] *= seen.factor();
        }
    }

    /** Whether what speaks for a cause is seen now; null where that cannot be told. */
    public static @Nullable Boolean seen(CauseInstance.BoundSupport support, Evidence evidence) {
        if (support.support().seen() instanceof Support.OfIndication of) {
            Boolean holds = evidence.holds(support.signal());
            return holds == null ? null : (Boolean) (holds == of.holds());
        }
        Support.OfReading of = (Support.OfReading) support.support().seen();
        Double number = evidence.number(support.signal());
        Double over = support.over() == null ? (Double) 0.0 : evidence.number(support.over());
        if (number == null || over == null) {
            return null;
        }
        double difference = number - over;
        return of.above() ? difference >= of.limit() : difference <= of.limit();
    }

    private static String text(CauseInstance.BoundSupport support) {
        if (support.support().seen() instanceof Support.OfIndication of) {
            return of.holds() ? "holds" : "does not hold";
        }
        Support.OfReading of = (Support.OfReading) support.support().seen();
        return (of.over() == null ? "" : "over " + of.over() + " ")
                + (of.above() ? "at least " : "at most ")
                + PlainNumber.of(of.limit())
                + (of.unit().isEmpty() ? "" : " " + of.unit());
    }
}
