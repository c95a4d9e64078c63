package oilbird.alarm.station;

import java.time.Duration;
import java.time.Instant;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;

/** Everything that can happen to a station. One input is handled whole before the next. */
public sealed interface StationInput {
    Moment at();

    /** One answered request. The gateway's own indications come this way too, as device {@code gateway}. */
    record Observed(Decoded decoded) implements StationInput {
        @Override
        public Moment at() {
            return decoded.at();
        }
    }

    /**
     * One request that brought no usable answer.
     *
     * <p>It marks the block's signals. The device is lost when nothing usable comes from it any more: every
     * block of it, or the same block twice, was {@code UNREACHABLE} since its last answer; all its blocks
     * failed for whatever reasons, one of them twice in a row; another product answers; or {@code block} is
     * empty and the reason {@code UNREACHABLE}. Only a usable answer brings it back.
     *
     * @param block name of the read block; empty where not even a connection came about.
     * @param reason {@code UNREACHABLE}, {@code REFUSED_BY_DEVICE}, {@code INVALID_ANSWER} or
     *     {@code OTHER_PRODUCT}.
     * @param detail for the engineer, for example {@code exception 02, illegal data address}.
     */
    record RequestFailed(String device, String block, QualityReason reason, String detail, Moment at)
            implements StationInput {}

    /** What a person asks for, and waits for an answer to. */
    sealed interface Asked extends StationInput {
        Actor by();
    }

    /** A human act on one alarm. */
    record Act(AlarmId alarm, AlarmInput.Act act) implements Asked {
        @Override
        public Moment at() {
            return act.at();
        }

        @Override
        public Actor by() {
            return act.by();
        }
    }

    /**
     * Puts a device, or an asset with all its devices, in maintenance: its readings are uncertain, its alarms out
     * of service.
     *
     * @param of id of a device or asset.
     * @param duration until the reminder; more than zero.
     */
    record BeginMaintenance(String of, Actor by, String reason, String permit, Duration duration, Moment at)
            implements Asked {}

    /** Ends it: alarms that it took out of service are placed in service, and the readings are compared. */
    record EndMaintenance(String of, Actor by, String comment, Moment at) implements Asked {}

    /**
     * Forces the outgoing point of an alarm; asked again it forces the other way.
     *
     * @param active what it is forced to.
     * @param duration until it ends by itself; at most one hour.
     */
    record TestAlarm(AlarmId alarm, boolean active, Actor by, Duration duration, Moment at) implements Asked {}

    /**
     * Forces the outgoing value of a reading.
     *
     * @param number finite.
     * @param duration until it ends by itself; at most one hour.
     */
    record TestReading(SignalId reading, double number, Actor by, Duration duration, Moment at) implements Asked {}

    record EndAlarmTest(AlarmId alarm, Actor by, Moment at) implements Asked {}

    record EndReadingTest(SignalId reading, Actor by, Moment at) implements Asked {}

    /** The control room lets people near an asset again. Reasons that still hold do not raise it anew; others do. */
    record ReleaseKeepAway(String asset, Actor by, String comment, Moment at) implements Asked {}

    /**
     * Leaves the connection of a device to somebody else, such as a service laptop: it is closed, and the device and
     * all others on it are not polled.
     *
     * @param of id of a device, or of a serial line or Modbus gateway for all behind it.
     * @param reason what it is released for.
     * @param duration until it ends by itself; at most eight hours.
     */
    record BeginRelease(String of, Actor by, String reason, Duration duration, Moment at) implements Asked {}

    /** Takes the connection again. */
    record EndRelease(String of, Actor by, Moment at) implements Asked {}

    /**
     * Other rules for the same assets and devices. Alarms keep their memories.
     *
     * @param model as it is from now on; refused if it has other assets, devices or maps.
     */
    record RulesLoaded(StationModel model, Actor by, Moment at) implements Asked {}

    /**
     * A laboratory's oil sample, as a person enters it.
     *
     * @param asset a transformer whose condition is computed.
     * @param sample its source is the laboratory, its time that of sampling.
     * @param reference the laboratory's report number or the like; empty for none.
     */
    record EnterSample(String asset, GasSample sample, String reference, Actor by, Moment at) implements Asked {}

    /** Takes back a laboratory's sample that was entered wrongly. */
    record WithdrawSample(String asset, String laboratory, Instant sampledAt, Actor by, Moment at) implements Asked {}

    /**
     * Something about access, to be numbered and recorded with the rest.
     *
     * @param entry number of the entry in the journal of changes, which is recorded once however often it comes; 0 for
     *     what has no entry. Entries come in the order of their numbers.
     * @param previous number of the entry before it; 0 for none.
     */
    record Accessed(
            StationEvent.Accessed.Kind kind,
            long entry,
            long previous,
            String about,
            Actor by,
            String address,
            String text,
            long times,
            Moment at)
            implements Asked {}

    /**
     * Sends a test message over a link.
     *
     * @param link its id.
     */
    record TestLink(String link, Actor by, Moment at) implements Asked {}

    /**
     * Begins a guided fault-finding from an open diagnosis; where one of that diagnosis is under way, the person joins it.
     *
     * @param diagnosis its id.
     */
    record BeginFaultFinding(String diagnosis, GuidedInput.Entry entry) implements Asked {
        @Override
        public Moment at() {
            return entry.at();
        }

        @Override
        public Actor by() {
            return entry.who();
        }
    }

    /**
     * Something that a person says in a guided fault-finding.
     *
     * @param session its id.
     */
    record InFaultFinding(String session, GuidedInput input) implements Asked {
        @Override
        public Moment at() {
            return input.entry().at();
        }

        @Override
        public Actor by() {
            return input.entry().who();
        }
    }

    /**
     * Something the gateway saw outside the station's signals, to be numbered and recorded with the rest.
     *
     * @param subject device, word or rule that it is about.
     * @param text what was seen, as facts.
     */
    record Noticed(StationEvent.Notice.Kind kind, SignalId subject, String text, Moment at) implements StationInput {}

    /** Time has passed; due at {@link StationStep#wakeAt()}. */
    record Elapsed(Moment at) implements StationInput {}
}
