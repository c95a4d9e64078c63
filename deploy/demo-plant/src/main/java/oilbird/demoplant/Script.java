package oilbird.demoplant;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;
import oilbird.demoplant.device.Monitor;

/** The scenes still to come and the script's own time, which stands still while the script is paused. */
final class Script {
    private final Deque<Scene> coming;
    private long millis;
    private boolean paused;

    /** @param scenes the scenes, earliest first */
    Script(List<Scene> scenes, boolean paused) {
        this.coming = new ArrayDeque<>(scenes);
        this.paused = paused;
    }

    /** Plays the scenes due, moves script time on by one tick, and gives the scenes played. */
    List<Scene> tick() {
        List<Scene> played = new ArrayList<>();
        if (paused) {
            return played;
        }
        Scene next = coming.peek();
        while (next != null && next.atSeconds() * 1_000L <= millis) {
            coming.remove();
            next.action().run();
            played.add(next);
            next = coming.peek();
        }
        millis += Monitor.TICK_MILLIS;
        return played;
    }

    /** Script time, seconds. */
    long seconds() {
        return millis / 1_000;
    }

    boolean isPaused() {
        return paused;
    }

    void pause() {
        paused = true;
    }

    void resume() {
        paused = false;
    }

    int scenesLeft() {
        return coming.size();
    }
}
