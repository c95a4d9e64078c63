package oilbird.alarm.transformer.derived;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Conditions2008;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasIndices;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.GuideRate;
import oilbird.alarm.transformer.gas.GuideStatus2019;
import oilbird.alarm.transformer.gas.GuideTables2019;
import oilbird.alarm.transformer.gas.MeasurementError;
import oilbird.alarm.transformer.gas.MethodAnswer;
import oilbird.alarm.transformer.gas.TypicalValues;
import oilbird.alarm.transformer.trend.DailyRate;
import oilbird.alarm.transformer.trend.GasSeries;
import oilbird.alarm.transformer.trend.Movement;
import oilbird.alarm.transformer.trend.MultiPointRate;
import oilbird.alarm.transformer.trend.RobustSlope;
import oilbird.alarm.transformer.trend.StepChange;
import oilbird.alarm.transformer.verdict.CombinedVerdict;
import oilbird.alarm.transformer.verdict.VerdictSettings;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * What one gas sample of the monitor says, with its history behind it.
 *
 * @param results the same as points and indications.
 */
public record GasAssessment(
        GasSample sample,
        CombinedVerdict verdict,
        Finding<GuideStatus2019> status,
        Finding<Conditions2008> conditions,
        Results results) {
    /** From this probability on a fault is suspected though another leads; our choice, on the careful side. */
    private static final double SUSPECTED = 0.3;

    /** Table 3 of the guide compares laboratory samples months apart, so a monitor's are not compared day by day. */
    private static final Duration BETWEEN_SAMPLES = Duration.ofDays(30);

    /**
     * @param history of the monitor, this sample included where it is fit for trends.
     * @param analyses number of this analysis since the start.
     */
    static GasAssessment of(TransformerSetup setup, GasSample sample, SampleHistory history, long analyses) {
        Results results = new Results(DerivedSignals.Block.GAS);
        results.number(DerivedSignals.ANALYSES, analyses, QualityReason.NONE);
        VerdictSettings settings = settings(setup);
        CombinedVerdict verdict = CombinedVerdict.of(setup.facts(), sample, settings);
        List<GuideRate> rates = rates(setup, sample, history, settings.typical(), results);
        GasSample before = history.before(sample.at(), BETWEEN_SAMPLES);
        Finding<GuideStatus2019> status =
                GuideStatus2019.of(setup.facts(), sample, before, rates, setup.choices(), MeasurementError.USUAL);
        Finding<Conditions2008> conditions = Conditions2008.of(setup.facts(), sample);
        status(status, results);
        conditions(conditions, results);
        ratios(setup, sample, results);
        methods(verdict, results);
        verdict(setup, verdict, sample, settings.typical(), results);
        return new GasAssessment(sample, verdict, status, conditions, results);
    }

    private static VerdictSettings settings(TransformerSetup setup) {
        VerdictSettings usual = VerdictSettings.usual(setup.facts());
        return new VerdictSettings(
                setup.choices(),
                usual.error(),
                usual.typical(),
                usual.needsTypical(),
                usual.leastProbability(),
                usual.model());
    }

    // ---- levels

    private static void status(Finding<GuideStatus2019> finding, Results results) {
        if (finding instanceof Finding.Told<GuideStatus2019> told) {
            GuideStatus2019 status = told.value();
            QualityReason reason = Results.reason(told.remarks());
            results.number("gas-status", status.status(), reason);
            results.text("gas-status-because", because(status), reason);
            results.state("gas-status-2", status.status() == 2, reason);
            results.state("gas-status-3", status.status() == 3, reason);
        } else if (finding instanceof Finding.Untold<GuideStatus2019> untold) {
            results.untold("gas-status", untold.why(), untold.detail());
            results.untold("gas-status-because", untold.why(), untold.detail());
            results.untoldState("gas-status-2", Results.reason(untold.why()));
            results.untoldState("gas-status-3", Results.reason(untold.why()));
        }
    }

    private static String because(GuideStatus2019 status) {
        if (status.exceedances().isEmpty()) {
            return "no gas above a limit";
        }
        GuideStatus2019.Exceedance worst = status.exceedances().get(0);
        String unit = worst.table() == GuideStatus2019.Table.RATE ? " ppm a year" : " ppm";
        return worst.gas().words() + " " + Figures.of(worst.value(), worst.value() < 10 ? 1 : 0) + unit + ", above "
                + worst.table().words() + " with " + Figures.of(worst.limit(), worst.limit() < 10 ? 1 : 0) + unit;
    }

    private static void conditions(Finding<Conditions2008> finding, Results results) {
        if (finding instanceof Finding.Told<Conditions2008> told) {
            results.number("gas-condition-2008", told.value().condition(), Results.reason(told.remarks()));
            results.number("combustible-gas", told.value().tdcgPpm(), Results.reason(told.remarks()));
        } else if (finding instanceof Finding.Untold<Conditions2008> untold) {
            results.untold("gas-condition-2008", untold.why(), untold.detail());
            results.untold("combustible-gas", untold.why(), untold.detail());
        }
    }

    // ---- ratios

    private static void ratios(TransformerSetup setup, GasSample sample, Results results) {
        ratio("ratio-acetylene-ethylene", Gas.C2H2, Gas.C2H4, sample, results);
        ratio("ratio-methane-hydrogen", Gas.CH4, Gas.H2, sample, results);
        ratio("ratio-ethylene-ethane", Gas.C2H4, Gas.C2H6, sample, results);
        Finding<Double> acetylene = GasIndices.acetyleneHydrogen(setup.facts(), sample);
        results.number("ratio-acetylene-hydrogen", acetylene);
        results.number(
                "ratio-carbon-dioxide-carbon-monoxide",
                GasIndices.carbonOxides(setup.facts(), sample, setup.choices()));
        results.number("ratio-oxygen-nitrogen", GasIndices.oxygenNitrogen(setup.facts(), sample));
        tapChanger(setup, acetylene, results);
    }

    private static void tapChanger(TransformerSetup setup, Finding<Double> acetylene, Results results) {
        String name = "tap-changer-gas-suspected";
        if (setup.facts().tapChanger() == TapChanger.NONE) {
            results.state(name, false, QualityReason.NONE);
        } else if (acetylene instanceof Finding.Told<Double> told) {
            results.state(
                    name,
                    told.remarks().stream().anyMatch(r -> r.kind() == Remark.Kind.TAP_CHANGER_GAS),
                    Results.reason(told.remarks()));
        } else if (acetylene instanceof Finding.Untold<Double> untold) {
            // Neither gas above detection: there is nothing that could have come over.
            boolean none = untold.why() == Why.ALL_ZERO;
            if (none) {
                results.state(name, false, QualityReason.NONE);
            } else {
                results.untoldState(name, Results.reason(untold.why()));
            }
        }
    }

    private static void ratio(String name, Gas above, Gas below, GasSample sample, Results results) {
        for (Gas gas : List.of(above, below)) {
            Concentration known = sample.of(gas);
            if (known == null) {
                results.untold(name, sample.leftOut().getOrDefault(gas, Why.MISSING_VALUE), gas.words());
                return;
            }
            if (known instanceof Concentration.Saturated) {
                results.untold(name, Why.SATURATED, gas.words());
                return;
            }
        }
        double divisor = nominal(sample, below);
        if (divisor <= 0) {
            results.untold(name, Why.BELOW_APPLICABILITY, below.words() + " below detection");
            return;
        }
        results.number(name, nominal(sample, above) / divisor, QualityReason.NONE);
    }

    private static double nominal(GasSample sample, Gas gas) {
        Concentration known = sample.of(gas);
        return known == null ? 0 : known.nominalPpm();
    }

    // ---- faults

    private static void methods(CombinedVerdict verdict, Results results) {
        for (MethodAnswer answer : verdict.methods()) {
            String name = DerivedSignals.key(answer.method());
            if (answer instanceof MethodAnswer.Told told) {
                results.text(name, told.label(), Results.reason(told.remarks()));
            } else if (answer instanceof MethodAnswer.NoRow noRow) {
                results.untold(name, QualityReason.NO_CLEAR_ANSWER, noRow.ratios());
            } else if (answer instanceof MethodAnswer.Untold untold) {
                results.untold(name, untold.why(), untold.detail());
            }
        }
    }

    private static void verdict(
            TransformerSetup setup, CombinedVerdict verdict, GasSample sample, TypicalValues typical, Results results) {
        QualityReason reason = Results.reason(verdict.remarks());
        List<CombinedVerdict.Likelihood> likelihoods = List.of();
        if (verdict instanceof CombinedVerdict.Told told) {
            likelihoods = told.likelihoods();
            results.text("fault", told.fault().name() + ", " + told.fault().words(), reason);
            results.number("fault-same-within-error", 100 * told.sameWithinError(), QualityReason.NONE);
            results.number("share-stray-gassing", 100 * told.shares().strayGassing(), QualityReason.NONE);
            results.number("share-overheated-oil", 100 * told.shares().overheatedOil(), QualityReason.NONE);
            results.number("share-paper", 100 * told.shares().paperInvolved(), QualityReason.NONE);
            results.state("stray-gassing-suspected", told.shares().strayGassing() >= 0.5, reason);
        } else if (verdict instanceof CombinedVerdict.CannotBeTold none) {
            likelihoods = none.likelihoods();
            for (String name : List.of(
                    "fault", "fault-same-within-error", "share-stray-gassing", "share-overheated-oil", "share-paper")) {
                results.untold(name, none.why(), none.detail());
            }
            if (healthy(none)) {
                results.state("stray-gassing-suspected", false, QualityReason.NONE);
            } else {
                results.untoldState("stray-gassing-suspected", Results.reason(none.why()));
            }
        }
        for (Fault fault : Fault.values()) {
            probability(fault, likelihoods, verdict, reason, results);
        }
        suspicion(
                DerivedSignals.DISCHARGE_SUSPECTED,
                Fault.Family.DISCHARGE,
                Gas.C2H2,
                verdict,
                sample,
                typical,
                results);
        suspicion(
                "partial-discharge-suspected",
                Fault.Family.PARTIAL_DISCHARGE,
                Gas.H2,
                verdict,
                sample,
                typical,
                results);
        suspicion("overheating-suspected", Fault.Family.THERMAL, Gas.C2H4, verdict, sample, typical, results);
        paper(setup, verdict, sample, results);
    }

    /** Whether no gas is above its typical value: then figures and ratios tell of no fault, wherever the point lies. */
    public boolean tellsOfNoFault() {
        return verdict instanceof CombinedVerdict.CannotBeTold none && healthy(none);
    }

    /** Whether there is no fault to name, as against one that cannot be named. */
    private static boolean healthy(CombinedVerdict.CannotBeTold verdict) {
        return verdict.why() == Why.NOTHING_ABOVE_TYPICAL || verdict.why() == Why.ALL_ZERO;
    }

    private static void probability(
            Fault fault,
            List<CombinedVerdict.Likelihood> likelihoods,
            CombinedVerdict verdict,
            QualityReason reason,
            Results results) {
        String name = DerivedSignals.key(fault);
        if (verdict instanceof CombinedVerdict.CannotBeTold none && (likelihoods.isEmpty() || healthy(none))) {
            results.untold(name, none.why(), none.detail());
            return;
        }
        for (CombinedVerdict.Likelihood one : likelihoods) {
            if (one.fault() == fault) {
                results.number(name, 100 * one.probability(), reason);
            }
        }
    }

    /**
     * Whether a family of faults is suspected: it leads, or has at least {@link #SUSPECTED}. Where the methods cannot
     * speak at all, the family's own gas above its typical range still makes it suspected: what protects people must
     * not wait for a complete sample.
     */
    private static void suspicion(
            String name,
            Fault.Family family,
            Gas own,
            CombinedVerdict verdict,
            GasSample sample,
            TypicalValues typical,
            Results results) {
        double probability = 0;
        List<CombinedVerdict.Likelihood> likelihoods = List.of();
        boolean leads = false;
        if (verdict instanceof CombinedVerdict.Told told) {
            likelihoods = told.likelihoods();
            leads = told.fault().family() == family;
        } else if (verdict instanceof CombinedVerdict.CannotBeTold none) {
            if (healthy(none)) {
                results.state(name, false, QualityReason.NONE);
                return;
            }
            likelihoods = none.likelihoods();
            if (likelihoods.isEmpty()) {
                withoutVerdict(name, own, none, sample, typical, results);
                return;
            }
        }
        for (CombinedVerdict.Likelihood one : likelihoods) {
            probability += one.fault().family() == family ? one.probability() : 0;
        }
        boolean holds = leads || probability >= SUSPECTED;
        boolean sure = holds ? leads && probability >= 1 - SUSPECTED : probability < SUSPECTED / 3;
        QualityReason disputed = Results.reason(verdict.remarks());
        results.state(
                name,
                holds,
                sure
                        ? QualityReason.NONE
                        : disputed == QualityReason.NONE ? QualityReason.CHANGES_WITHIN_ERROR : disputed);
    }

    private static void withoutVerdict(
            String name,
            Gas own,
            CombinedVerdict.CannotBeTold verdict,
            GasSample sample,
            TypicalValues typical,
            Results results) {
        Concentration known = sample.of(own);
        TypicalValues.Range range = typical.concentration(own);
        if (known instanceof Concentration.Saturated
                || known != null && range != null && known.nominalPpm() > range.low()) {
            results.state(name, true, QualityReason.CHANGES_WITHIN_ERROR);
        } else if (known instanceof Concentration.BelowDetection && own == Gas.C2H2) {
            // A discharge in oil makes acetylene; without any there is none to suspect.
            results.state(name, false, QualityReason.NONE);
        } else {
            results.untoldState(name, Results.reason(verdict.why()));
        }
    }

    private static void paper(TransformerSetup setup, CombinedVerdict verdict, GasSample sample, Results results) {
        Finding<Double> oxides = GasIndices.carbonOxides(setup.facts(), sample, setup.choices());
        boolean figure =
                verdict instanceof CombinedVerdict.Told told && told.shares().paperInvolved() >= 0.5;
        if (oxides instanceof Finding.Told<Double> told) {
            boolean ratio = told.remarks().stream().anyMatch(r -> r.kind() == Remark.Kind.PAPER);
            results.state("paper-involved", figure || ratio, Results.reason(told.remarks()));
        } else if (figure) {
            results.state("paper-involved", true, QualityReason.CHANGES_WITHIN_ERROR);
        } else if (oxides instanceof Finding.Untold<Double> untold) {
            results.untoldState("paper-involved", Results.reason(untold.why()));
        }
    }

    // ---- rates

    /** Points and indications about rates; gives the multi-point rates that could be told. */
    private static List<GuideRate> rates(
            TransformerSetup setup, GasSample sample, SampleHistory history, TypicalValues typical, Results results) {
        List<GuideRate> guide = new ArrayList<>();
        List<GasSample> samples = history.samples();
        String source = sample.source().id();
        Fast fast = new Fast(setup.trending());
        Rising rising = new Rising();
        Step step = new Step();
        for (Gas gas : GuideTables2019.GASES) {
            String key = DerivedSignals.key(gas);
            Finding<GasSeries> series = GasSeries.of(setup.facts(), samples, source, gas);
            if (!(series instanceof Finding.Told<GasSeries> told) || sample.of(gas) == null) {
                Why why = series instanceof Finding.Untold<GasSeries> untold ? untold.why() : Why.MISSING_VALUE;
                String detail = gas.words();
                for (String suffix : List.of("-rate", "-rate-low", "-rate-high", "-yearly-rate")) {
                    results.untold(key + suffix, why, detail);
                }
                fast.untold(gas, why, detail);
                rising.untold(why);
                step.untold(why);
                continue;
            }
            Finding<DailyRate> daily = DailyRate.of(
                    told.value(), setup.trending().window(), setup.trending().fastAcetylene());
            daily(key, daily, results);
            fast.take(gas, daily);
            rising.take(DailyRate.againstTypical(told.value(), setup.trending().longWindow(), typical));
            step.take(StepChange.of(told.value().within(setup.trending().longWindow())));
            Finding<GuideRate> yearly = MultiPointRate.of(told.value());
            if (yearly instanceof Finding.Told<GuideRate> rate) {
                guide.add(rate.value());
                results.number(key + "-yearly-rate", rate.value().ppmPerYear(), QualityReason.NONE);
            } else if (yearly instanceof Finding.Untold<GuideRate> untold) {
                results.untold(key + "-yearly-rate", untold.why(), untold.detail());
            }
        }
        fast.tell(results);
        rising.tell(results);
        step.tell(results);
        return guide;
    }

    private static void daily(String key, Finding<DailyRate> finding, Results results) {
        if (finding instanceof Finding.Told<DailyRate> told) {
            RobustSlope slope = told.value().slope();
            // A slope within the monitor's own noise is shown, and said to be no movement.
            QualityReason reason = told.value().direction() == Movement.Direction.WITHIN_NOISE
                    ? QualityReason.CHANGES_WITHIN_ERROR
                    : QualityReason.NONE;
            results.number(key + "-rate", slope.perDay(), reason);
            results.number(key + "-rate-low", slope.low(), reason);
            results.number(key + "-rate-high", slope.high(), reason);
        } else if (finding instanceof Finding.Untold<DailyRate> untold) {
            for (String suffix : List.of("-rate", "-rate-low", "-rate-high")) {
                results.untold(key + suffix, untold.why(), untold.detail());
            }
        }
    }

    /** Fast where acetylene alone, or hydrogen and hydrocarbons together, surely rise faster than the limits. */
    private static final class Fast {
        private final TransformerSetup.Trending limits;
        private double total;
        private double low;
        private boolean acetyleneFast;
        private boolean maybe;
        private int known;
        private @Nullable Why why;
        private String detail = "";

        Fast(TransformerSetup.Trending limits) {
            this.limits = limits;
        }

        void untold(Gas gas, Why because, String words) {
            if (why == null && DerivedSignals.FAULT_GASES.contains(gas)) {
                why = because;
                detail = words;
            }
        }

        void take(Gas gas, Finding<DailyRate> finding) {
            if (!DerivedSignals.FAULT_GASES.contains(gas)) {
                return;
            }
            if (finding instanceof Finding.Untold<DailyRate> untold) {
                untold(gas, untold.why(), untold.detail());
            } else if (finding instanceof Finding.Told<DailyRate> told) {
                known++;
                if (told.value().direction() == Movement.Direction.RISING) {
                    total += told.value().slope().perDay();
                    low += told.value().slope().low();
                }
                if (gas == Gas.C2H2) {
                    acetyleneFast = told.value().fast();
                    maybe |= told.value().maybeFast() && told.value().direction() == Movement.Direction.RISING;
                }
            }
        }

        void tell(Results results) {
            Why untold = why;
            boolean fast = acetyleneFast || low > limits.fastTotal();
            if (known == 0) {
                Why because = untold == null ? Why.MISSING_VALUE : untold;
                results.untold("fault-gas-rate", because, detail);
                results.untoldState(DerivedSignals.GAS_RISE_FAST, Results.reason(because));
                return;
            }
            QualityReason partial = untold == null ? QualityReason.NONE : QualityReason.CHANGES_WITHIN_ERROR;
            results.number("fault-gas-rate", total, partial);
            if (fast) {
                results.state(DerivedSignals.GAS_RISE_FAST, true, QualityReason.NONE);
            } else if (untold != null) {
                // Not fast by the gases that are known says nothing of the others.
                results.untoldState(DerivedSignals.GAS_RISE_FAST, Results.reason(untold));
            } else {
                boolean near = maybe || total > limits.fastTotal();
                results.state(
                        DerivedSignals.GAS_RISE_FAST,
                        false,
                        near ? QualityReason.CHANGES_WITHIN_ERROR : QualityReason.NONE);
            }
        }
    }

    /** A yes from one gas suffices; a no needs all of those that could be told, and at least one. */
    private static final class Rising {
        private boolean holds;
        private boolean maybe;
        private int known;
        private @Nullable Why why;

        void untold(Why because) {
            why = why == null ? because : why;
        }

        void take(Finding<DailyRate> finding) {
            if (finding instanceof Finding.Told<DailyRate> told) {
                known++;
                holds |= told.value().fast();
                maybe |= told.value().maybeFast() && told.value().direction() == Movement.Direction.RISING;
            } else if (finding instanceof Finding.Untold<DailyRate> untold) {
                untold(untold.why());
            }
        }

        void tell(Results results) {
            Why untold = why;
            if (holds) {
                results.state("gas-rising", true, QualityReason.NONE);
            } else if (untold != null || known == 0) {
                results.untoldState("gas-rising", Results.reason(untold == null ? Why.MISSING_VALUE : untold));
            } else {
                results.state("gas-rising", false, maybe ? QualityReason.CHANGES_WITHIN_ERROR : QualityReason.NONE);
            }
        }
    }

    private static final class Step {
        private boolean holds;
        private int known;
        private @Nullable Why why;

        void untold(Why because) {
            why = why == null ? because : why;
        }

        void take(Finding<StepChange> finding) {
            if (finding instanceof Finding.Told<StepChange> told) {
                known++;
                holds |= told.value().found();
            } else if (finding instanceof Finding.Untold<StepChange> untold) {
                untold(untold.why());
            }
        }

        void tell(Results results) {
            Why untold = why;
            if (holds) {
                results.state("gas-step", true, QualityReason.NONE);
            } else if (untold != null || known == 0) {
                results.untoldState("gas-step", Results.reason(untold == null ? Why.MISSING_VALUE : untold));
            } else {
                results.state("gas-step", false, QualityReason.NONE);
            }
        }
    }

    /** What the verdict is, in one line. */
    public String words() {
        if (verdict instanceof CombinedVerdict.Told told) {
            return told.fault().words() + ", "
                    + Figures.of(100 * told.likelihoods().get(0).probability(), 0) + " % given a fault";
        }
        CombinedVerdict.CannotBeTold none = (CombinedVerdict.CannotBeTold) verdict;
        return "no fault named: " + Results.words(none.why(), none.detail());
    }
}
