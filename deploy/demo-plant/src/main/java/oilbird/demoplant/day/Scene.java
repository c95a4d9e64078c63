package oilbird.demoplant.day;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.demoplant.course.Injection;
import org.jspecify.annotations.Nullable;

/**
 * One thing that happens in the day. Times count from the beginning of the day.
 *
 * @param at when it happens
 * @param what what happens, in plain words
 * @param faults what is then played
 * @param request what somebody then asks the gateway for, or null
 * @param expected what the gateway is to say to it, and what not
 */
public record Scene(
        Duration at,
        String what,
        List<Injection> faults,
        @Nullable Request request,
        List<Expected> expected) {
    public Scene {
        faults = List.copyOf(faults);
        expected = List.copyOf(expected);
    }

    /**
     * What an operator asks the gateway for through its REST door.
     *
     * @param path path of a POST
     * @param body JSON
     * @param who who asks, in plain words
     */
    public record Request(String path, String body, String who) {}

    /**
     * What the gateway is to say, or not to say.
     *
     * @param alarm the alarm, such as {@code t1/gas-t1.oil-flow-low}
     * @param sounds true when it must ask for the operator's attention, false when it must not
     * @param from from when on it is listened to
     * @param by until when it must have come, or must not come
     */
    public record Expected(String alarm, boolean sounds, Duration from, Duration by) {}

    static Scene of(Duration at, String what) {
        return new Scene(at, what, List.of(), null, List.of());
    }

    Scene playing(String fault, String target, Duration until) {
        List<Injection> more = new ArrayList<>(faults);
        more.add(new Injection(fault, target, at, until, 1));
        return new Scene(at, what, more, request, expected);
    }

    Scene asking(Request asked) {
        return new Scene(at, what, faults, asked, expected);
    }

    Scene expecting(String alarm, Duration from, Duration by) {
        List<Expected> more = new ArrayList<>(expected);
        more.add(new Expected(alarm, true, from, by));
        return new Scene(at, what, faults, request, more);
    }

    Scene notExpecting(String alarm, Duration from, Duration by) {
        List<Expected> more = new ArrayList<>(expected);
        more.add(new Expected(alarm, false, from, by));
        return new Scene(at, what, faults, request, more);
    }
}
