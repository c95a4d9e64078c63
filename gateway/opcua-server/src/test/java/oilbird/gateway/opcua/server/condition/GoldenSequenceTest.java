package oilbird.gateway.opcua.server.condition;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.state.AlarmId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * The published sequence of OPC 10000-9, Annex B.1.2 (one condition without branches that asks for a confirmation), rows
 * 1 to 8, through the real server: values are Active, Acked, Confirmed, Retain, as the annex prints them. Annex B.1.3 (with
 * branches) is not reproduced: this server keeps none, and row 2 of that table is inconsistent in print.
 */
class GoldenSequenceTest {
    @TempDir
    static Path data;

    private static Bench bench;
    private static Watcher operator;

    @BeforeAll
    static void start() throws Exception {
        bench = new Bench(data);
        operator = new Watcher(bench, "operator");
    }

    @AfterAll
    static void end() throws Exception {
        operator.close();
        bench.close();
    }

    @Test
    void theRowsOfAnnexB12AreReproduced() throws Exception {
        AlarmId alarm = bench.alarm("confirmed");
        Watcher.Watch watch = operator.watch();
        List<String> rows = new ArrayList<>();
        bench.sign("confirmed", false);

        bench.sign("confirmed", true);
        Watcher.Seen seen = watch.next(alarm);
        rows.add(seen.row());
        assertThat(operator.acknowledge(seen, null)).isEqualTo(StatusCode.GOOD);
        rows.add(watch.next(alarm).row());
        bench.sign("confirmed", false);
        seen = watch.next(alarm);
        rows.add(seen.row());
        assertThat(operator.confirm(seen, null)).isEqualTo(StatusCode.GOOD);
        rows.add(watch.next(alarm).row());

        bench.sign("confirmed", true);
        rows.add(watch.next(alarm).row());
        bench.sign("confirmed", false);
        seen = watch.next(alarm);
        rows.add(seen.row());
        assertThat(operator.acknowledge(seen, null)).isEqualTo(StatusCode.GOOD);
        seen = watch.next(alarm);
        rows.add(seen.row());
        assertThat(operator.confirm(seen, null)).isEqualTo(StatusCode.GOOD);
        rows.add(watch.next(alarm).row());

        assertThat(rows).containsExactly("TFTT", "TTFT", "FTFT", "FTTF", "TFTT", "FFTT", "FTFT", "FTTF");
        assertThat(watch.rest()).noneMatch(any -> operator.condition(alarm).equals(any.conditionOrNull()));
    }
}
