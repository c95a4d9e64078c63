package oilbird.alarm.check;

import java.util.List;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.mapping.signal.Work;

/** What comes next in a guided fault-finding. */
public sealed interface Next {
    /**
     * A check that is proposed.
     *
     * @param bits what it is expected to tell.
     * @param bitsPerMinute the same by its minutes.
     * @param why why it is this one.
     * @param toConfirm what has to be confirmed before.
     * @param authorisationMissing true where the owner asks for an authorisation that is not recorded yet.
     */
    record Proposal(
            BoundCheck check,
            double bits,
            double bitsPerMinute,
            Why why,
            List<Work.Preparation> toConfirm,
            boolean authorisationMissing) {
        public Proposal {
            toConfirm = List.copyOf(toConfirm);
        }
    }

    /** Why a check is proposed. */
    enum Why {
        /** It tells most per minute among those of the lowest exposure that still has a useful one. */
        TELLS_MOST,
        /** It comes next in the order that the fault model fixes. */
        FIXED_ORDER,
        /** The last outcome names it. */
        NAMED_BY_OUTCOME,
        /** It is the one of the lowest exposure that can speak for the only likely cause, which no check has confirmed yet. */
        CONFIRMS,
        /** It puts the cause right. */
        PUTS_RIGHT,
        /** It proves a repair. */
        PROVES_REPAIR
    }

    /**
     * A check.
     *
     * @param others the other useful ones, best first.
     * @param withdrawn how many checks keep-away has withdrawn.
     */
    record Check(Proposal proposal, List<Proposal> others, int withdrawn) implements Next {
        public Check {
            others = List.copyOf(others);
        }
    }

    /**
     * The cause is found and can be put right.
     *
     * @param steps that put it right; empty where the library has none, or keep-away has withdrawn them.
     * @param call whom to call for it, in words that follow "call the"; empty where nobody said.
     * @param saveWordsFirst true where a step that would lose the words is held back until they are saved.
     */
    record PutRight(String cause, List<Proposal> steps, String call, boolean saveWordsFirst, int withdrawn)
            implements Next {
        public PutRight {
            steps = List.copyOf(steps);
        }
    }

    /** The word and the readings are watched for the cause's proving time. */
    record Watch(GuidedSession.Watching watching) implements Next {}

    /**
     * Nothing more can be told here.
     *
     * @param to whom the fault goes, in words that follow "call the"; empty where nobody said.
     * @param saveWordsFirst true where a restart is held back until the words are saved.
     * @param withdrawn how many checks keep-away has withdrawn.
     */
    record HandOver(String to, String why, boolean saveWordsFirst, int withdrawn) implements Next {}

    /** It has ended. */
    record Ended(GuidedSession.Ending ending) implements Next {}
}
