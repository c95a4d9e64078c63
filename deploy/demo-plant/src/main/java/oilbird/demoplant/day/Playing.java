package oilbird.demoplant.day;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.function.Consumer;
import oilbird.demoplant.course.Injection;
import oilbird.demoplant.plant.Plant;

/**
 * A day that is being played: injects its faults when it begins, tells each scene when its time comes, and compares what
 * the gateway says with what was expected. Safe for use by several threads.
 */
public final class Playing {
    private final List<Scene> scenes;
    private final Plant plant;
    private final Consumer<String> out;
    private final Consumer<Scene.Request> requests;
    private final List<Waiting> waiting = new ArrayList<>();
    private long beganAt = -1;
    private int told;
    private boolean concluded;

    /** One expectation and what has become of it. */
    private static final class Waiting {
        final Scene scene;
        final Scene.Expected expected;
        boolean heard;
        boolean judged;

        Waiting(Scene scene, Scene.Expected expected) {
            this.scene = scene;
            this.expected = expected;
        }
    }

    /**
     * What came of a day.
     *
     * @param met expectations that the gateway met
     * @param missed expectations that it did not
     */
    public record Verdict(int met, int missed) {}

    /**
     * @param scenes earliest first
     * @param out takes each line told
     * @param requests sends what somebody asks the gateway for
     */
    public Playing(List<Scene> scenes, Plant plant, Consumer<String> out, Consumer<Scene.Request> requests) {
        this.scenes = List.copyOf(scenes);
        this.plant = plant;
        this.out = out;
        this.requests = requests;
        for (Scene scene : scenes) {
            scene.expected().forEach(expected -> waiting.add(new Waiting(scene, expected)));
        }
    }

    /** The day begins at this plant time, milliseconds; a day that has begun goes on as it is. */
    public synchronized void begin(long at) {
        if (beganAt >= 0) {
            return;
        }
        beganAt = at;
        for (Scene scene : scenes) {
            for (Injection injection : scene.faults()) {
                Duration until = injection.until();
                plant.inject(new Injection(
                        injection.fault(),
                        injection.target(),
                        injection.from().plusMillis(at),
                        until == null ? null : until.plusMillis(at),
                        injection.strength()));
            }
        }
    }

    /** Tells what has become due by this plant time. */
    public void tick(long at) {
        List<Scene.Request> due = new ArrayList<>();
        synchronized (this) {
            if (beganAt < 0) {
                return;
            }
            long now = at - beganAt;
            while (told < scenes.size() && scenes.get(told).at().toMillis() <= now) {
                Scene scene = scenes.get(told++);
                out.accept("[plant " + timeOfDay(scene.at()) + "] " + scene.what());
                if (scene.request() != null) {
                    due.add(scene.request());
                }
            }
            for (Waiting one : waiting) {
                if (!one.judged && one.expected.by().toMillis() < now) {
                    judge(one);
                }
            }
            if (!concluded && now >= Day.LENGTH.toMillis()) {
                concluded = true;
                waiting.stream().filter(one -> !one.judged).forEach(this::judge);
                Verdict verdict = verdict();
                out.accept("[plant " + timeOfDay(Day.LENGTH) + "] the day is over: " + verdict.met() + " of "
                        + (verdict.met() + verdict.missed()) + " expectations met");
            }
        }
        due.forEach(requests);
    }

    /** The control room has heard of an alarm. @param sounds whether it asks for attention */
    public synchronized void heard(String alarm, boolean sounds, long at) {
        if (beganAt < 0) {
            return;
        }
        long now = at - beganAt;
        for (Waiting one : waiting) {
            if (!one.judged
                    && sounds
                    && one.expected.alarm().equals(alarm)
                    && now >= one.expected.from().toMillis()
                    && now <= one.expected.by().toMillis()) {
                one.heard = true;
                judge(one);
            }
        }
    }

    /** Whether the whole day has been played. */
    public synchronized boolean isOver() {
        return concluded;
    }

    /** What came of it so far: what is not judged yet counts as neither. */
    public synchronized Verdict verdict() {
        int met = 0;
        int missed = 0;
        for (Waiting one : waiting) {
            if (one.judged && one.heard == one.expected.sounds()) {
                met++;
            } else if (one.judged) {
                missed++;
            }
        }
        return new Verdict(met, missed);
    }

    private void judge(Waiting one) {
        one.judged = true;
        if (one.heard == one.expected.sounds()) {
            return;
        }
        out.accept("[plant] NOT AS EXPECTED: scene " + timeOfDay(one.scene.at()) + ", the alarm " + one.expected.alarm()
                + (one.heard ? " came and should not have" : " has not come by " + timeOfDay(one.expected.by())));
    }

    private static String timeOfDay(Duration sinceSix) {
        long minutes = sinceSix.toMinutes() + 6 * 60;
        return String.format(Locale.ROOT, "%02d:%02d", minutes / 60, minutes % 60);
    }
}
