package oilbird.acceptance.scenario;

import java.util.List;
import org.junit.jupiter.api.Test;

class DiagnosisScenariosIT {
    @Test
    void scenarios() {
        long begin = System.nanoTime();
        Suite suite = new Suite(Suite.station(), 1, 1);
        System.out.printf("learnt in %.1f s%n", (System.nanoTime() - begin) / 1e9);
        String only = System.getProperty("scenario", "");
        List<Outcome> outcomes = Suite.scenarios().parallelStream()
                .filter(s -> s.name().contains(only))
                .map(suite::play)
                .toList();
        outcomes.forEach(o -> System.out.println(o.line()));
        System.out.printf("%d scenarios in %.1f s%n", outcomes.size(), (System.nanoTime() - begin) / 1e9);
    }
}
