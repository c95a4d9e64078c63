package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static oilbird.gateway.modbus.PollingRig.SHORT;
import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.station.Endpoint;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** What polling promises over whatever transport; every transport passes it. */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
abstract class PollerContract {
    static final int RIGHT = 0x1234;

    /** What the far end does with a request, whatever the transport. */
    enum Doing {
        ANSWERS,
        IS_SILENT,
        /** Exception 04. */
        REFUSES,
        /** Something that is no answer. */
        GARBLES
    }

    /** Two units, 11 and 12, behind one connection or line. */
    interface FarEnd extends AutoCloseable {
        Endpoint endpoint(int unit, Duration deadline);

        /** From the next request to the unit on. */
        void does(int unit, Doing doing);

        /** Requests so far. */
        int requests();
    }

    abstract FarEnd farEnd() throws Exception;

    private static PollingRig rig(FarEnd farEnd, Duration deadline) {
        return new PollingRig(
                PollingRig.session("gas", farEnd.endpoint(11, deadline), FAST),
                PollingRig.session("oil", farEnd.endpoint(12, deadline), FAST));
    }

    @Test
    void whatADeviceAnswersIsObservedAsGood() throws Exception {
        try (FarEnd farEnd = farEnd();
                PollingRig rig = rig(farEnd, PATIENT)) {
            for (String device : List.of("gas", "oil")) {
                assertThat(rig.awaitObserved(device).readings()).allSatisfy(reading -> {
                    assertThat(reading.number()).isEqualTo((double) RIGHT);
                    assertThat(reading.reason()).isEqualTo(QualityReason.NONE);
                });
            }
            assertThat(rig.status("gas").counts().faults()).isEmpty();
        }
    }

    @Test
    void silenceIsUnreachableForTheSilentOneOnlyAndEndsByItself() throws Exception {
        try (FarEnd farEnd = farEnd();
                PollingRig rig = rig(farEnd, SHORT)) {
            farEnd.does(12, Doing.IS_SILENT);
            assertThat(rig.awaitFailure("oil", "fast").reason()).isEqualTo(QualityReason.UNREACHABLE);
            rig.awaitObserved("gas");
            farEnd.does(12, Doing.ANSWERS);
            rig.awaitObserved("oil");
            assertThat(rig.everyValue()).containsOnly((double) RIGHT);
        }
    }

    @Test
    void anExceptionIsARefusalByTheDevice() throws Exception {
        try (FarEnd farEnd = farEnd();
                PollingRig rig = rig(farEnd, PATIENT)) {
            farEnd.does(11, Doing.REFUSES);
            assertThat(rig.awaitFailure("gas", "fast").reason()).isEqualTo(QualityReason.REFUSED_BY_DEVICE);
            farEnd.does(11, Doing.ANSWERS);
            rig.awaitObserved("gas");
        }
    }

    @Test
    void whatIsNoAnswerIsInvalidAndNeverAValue() throws Exception {
        try (FarEnd farEnd = farEnd();
                PollingRig rig = rig(farEnd, PATIENT)) {
            farEnd.does(11, Doing.GARBLES);
            assertThat(rig.awaitFailure("gas", "fast").reason()).isEqualTo(QualityReason.INVALID_ANSWER);
            farEnd.does(11, Doing.ANSWERS);
            assertThat(rig.awaitObserved("gas").readings())
                    .extracting(Reading::number)
                    .containsOnly((double) RIGHT);
            assertThat(rig.everyValue()).containsOnly((double) RIGHT);
        }
    }

    @Test
    void aReleasedConnectionIsLeftAloneAndTakenAgain() throws Exception {
        try (FarEnd farEnd = farEnd();
                PollingRig rig = rig(farEnd, PATIENT)) {
            rig.awaitObserved("gas");
            rig.poller.release(List.of("gas"));
            PollingRig.awaitUntil(
                    "both rest",
                    () -> rig.poller.status().stream().allMatch(s -> s.condition() == DeviceStatus.Condition.RELEASED));
            int asked = farEnd.requests();
            int seen = rig.all.size();
            // Ten periods without polling; that it could poll is shown by what follows.
            PollingRig.awaitUntil("time passes", new PollingRig.Elapsed(Duration.ofMillis(200)));
            assertThat(farEnd.requests())
                    .as("one may have been on its way to the far end")
                    .isLessThanOrEqualTo(asked + 1);
            assertThat(rig.all).hasSize(seen);
            rig.poller.release(List.of());
            rig.awaitObserved("gas");
            rig.awaitObserved("oil");
            assertThat(rig.all.stream().filter(StationInput.RequestFailed.class::isInstance))
                    .isEmpty();
        }
    }
}
