package oilbird.alarm.check;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Inference;
import oilbird.alarm.diagnosis.Sign;

/**
 * What a fault-finding takes from a diagnosis: enough to compute its belief again, and nothing that another library or
 * another reading would change.
 *
 * @param diagnosis id of the diagnosis.
 * @param subject id of the asset or of the shared thing that it is about.
 * @param assets ids of the assets concerned.
 * @param inference the numbers behind it.
 */
public record Assessment(String diagnosis, String subject, List<String> assets, Inference inference) {
    public Assessment {
        assets = List.copyOf(assets);
    }

    public static Assessment of(Diagnosis diagnosis) {
        return new Assessment(diagnosis.id(), diagnosis.subject(), diagnosis.assets(), diagnosis.inference());
    }

    /** For each cause the signs that hold and that it produces. */
    Map<String, List<Sign>> signs() {
        Map<String, List<Sign>> signs = new LinkedHashMap<>();
        inference
                .causes()
                .forEach(c -> signs.put(
                        c.cause(),
                        c.links().stream()
                                .filter(l -> l.told() == Diagnosis.Told.HOLDS)
                                .map(Inference.Link::sign)
                                .toList()));
        return signs;
    }
}
