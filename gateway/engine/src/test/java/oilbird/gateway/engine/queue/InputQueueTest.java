package oilbird.gateway.engine.queue;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.concurrent.CompletableFuture;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationInput;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

class InputQueueTest {
    private long time;

    private Moment now() {
        return new Moment(++time, 0, true);
    }

    private StationInput observed(String device, boolean holds, double value) {
        Moment at = now();
        return new StationInput.Observed(new Decoded(
                device,
                "all",
                List.of(new Reading(new SignalId(device, "h2"), value, null, QualityReason.NONE, at)),
                List.of(Indication.of(new SignalId(device, "stopped"), holds, at)),
                List.of(),
                at));
    }

    private static boolean holds(StationInput input) {
        return ((StationInput.Observed) input)
                .decoded()
                .indications()
                .get(0)
                .state()
                .equals(IndicationState.HOLDS);
    }

    private static double value(StationInput input) {
        Double number =
                ((StationInput.Observed) input).decoded().readings().get(0).number();
        return number == null ? Double.NaN : number;
    }

    private static List<Queued> all(InputQueue queue) throws InterruptedException {
        return queue.take(Integer.MAX_VALUE, 0);
    }

    @Test
    void everyInputIsKeptInOrderWhileThereIsRoom() throws Exception {
        InputQueue queue = new InputQueue(10, 20);
        for (int i = 0; i < 9; i++) {
            assertThat(queue.offer(observed("a", false, i))).isTrue();
        }
        assertThat(all(queue))
                .extracting(queued -> value(queued.input()))
                .containsExactly(0., 1., 2., 3., 4., 5., 6., 7., 8.);
        assertThat(queue.losses()).isEqualTo(new Losses(0, 0, 0));
    }

    @Test
    void aFullQueueKeepsTheNewestReadingInTheOldPlaceOfItsBlock() throws Exception {
        InputQueue queue = new InputQueue(2, 20);
        queue.offer(observed("a", false, 1));
        queue.offer(observed("a", false, 2));
        queue.offer(observed("b", false, 3));
        queue.offer(observed("a", false, 4));
        queue.offer(observed("a", false, 5));
        List<Queued> taken = all(queue);
        assertThat(taken).extracting(queued -> value(queued.input())).containsExactly(1., 5., 3.);
        assertThat(taken.get(1).since())
                .as("timers may not run ahead of the first of them")
                .isEqualTo(2);
        assertThat(queue.losses()).isEqualTo(new Losses(2, 0, 0));
    }

    @Test
    void aFailingRequestAndItsRecoveryAreChanges() throws Exception {
        InputQueue queue = new InputQueue(1, 20);
        queue.offer(observed("a", false, 1));
        StationInput failed = new StationInput.RequestFailed("a", "all", QualityReason.UNREACHABLE, "time-out", now());
        queue.offer(failed);
        queue.offer(observed("a", false, 2));
        assertThat(all(queue)).hasSize(3);
    }

    @Test
    void atTheLimitReadingsGiveWayToChangesAndOnlyThenAreChangesLostAndCounted() throws Exception {
        InputQueue queue = new InputQueue(3, 4);
        queue.offer(observed("a", false, 1));
        queue.offer(observed("a", false, 2));
        queue.offer(observed("b", false, 3));
        queue.offer(observed("c", false, 4));
        assertThat(queue.offer(observed("a", true, 5)))
                .as("displaces the second reading of a")
                .isTrue();
        assertThat(queue.losses()).isEqualTo(new Losses(0, 1, 0));
        assertThat(queue.offer(observed("a", false, 6)))
                .as("nothing left to give way")
                .isFalse();
        assertThat(queue.losses()).isEqualTo(new Losses(0, 1, 1));
        assertThat(all(queue)).extracting(queued -> value(queued.input())).containsExactly(1., 3., 4., 5.);

        assertThat(queue.offer(observed("a", false, 7))).isTrue();
        assertThat(all(queue)).extracting(queued -> holds(queued.input())).containsExactly(false);
    }

    @Test
    void humanActsAreNeverDisplacedAndTheDoorIsToldWhenTooManyWait() throws Exception {
        InputQueue queue = new InputQueue(1, 1);
        queue.offer(observed("a", false, 1));
        int taken = 0;
        StationInput.Act act = new StationInput.Act(
                new AlarmId("tx-1", "gas-1.fan"),
                new AlarmInput.Acknowledge(new Actor("operator", "page"), "", null, now()));
        while (queue.offerAct(act, new CompletableFuture<Void>())) {
            taken++;
        }
        assertThat(taken).isEqualTo(1_024);
        assertThat(queue.offer(observed("b", false, 2)))
                .as("acts do not count as readings")
                .isFalse();
        assertThat(all(queue)).hasSize(1 + 1_024);
        assertThat(queue.offerAct(act, new CompletableFuture<Void>())).isTrue();
    }

    /** Against a list of what each block said, one after another, with a consumer that cannot keep up. */
    @Test
    void noChangeOfAnIndicationIsPassedOverHoweverFullTheQueueIs() throws Exception {
        long seed = 20260301;
        System.out.println("seed " + seed);
        Random random = new Random(seed);
        for (int run = 0; run < 200; run++) {
            InputQueue queue = new InputQueue(1 + random.nextInt(8), 100_000);
            Map<String, List<Boolean>> said = new HashMap<>();
            Map<String, List<Boolean>> arrived = new HashMap<>();
            Map<String, Double> lastSaid = new HashMap<>();
            Map<String, Double> lastArrived = new HashMap<>();
            for (int i = 0; i < 400; i++) {
                String device = "d" + random.nextInt(5);
                boolean state = random.nextInt(4) == 0;
                assertThat(queue.offer(observed(device, state, i))).isTrue();
                note(said, device, state);
                lastSaid.put(device, (double) i);
                if (random.nextInt(6) == 0) {
                    take(queue, random.nextInt(4), arrived, lastArrived);
                }
            }
            take(queue, Integer.MAX_VALUE, arrived, lastArrived);
            assertThat(arrived).as("changes, seed %d run %d", seed, run).isEqualTo(said);
            assertThat(lastArrived)
                    .as("newest values, seed %d run %d", seed, run)
                    .isEqualTo(lastSaid);
        }
    }

    private static void take(
            InputQueue queue, int max, Map<String, List<Boolean>> arrived, Map<String, Double> lastArrived)
            throws InterruptedException {
        for (Queued queued : queue.take(max, 0)) {
            String device = ((StationInput.Observed) queued.input()).decoded().device();
            note(arrived, device, holds(queued.input()));
            lastArrived.put(device, value(queued.input()));
        }
    }

    private static void note(Map<String, List<Boolean>> changes, String device, boolean state) {
        List<Boolean> of = changes.computeIfAbsent(device, key -> new ArrayList<>());
        if (of.isEmpty() || of.get(of.size() - 1) != state) {
            of.add(state);
        }
    }
}
