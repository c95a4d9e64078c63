package oilbird.gateway.contract;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.derived.LaboratoryComparison;
import oilbird.alarm.transformer.derived.LaboratorySample;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.gateway.picture.Pictures;

/** Makes forms of what is computed of a transformer. */
public final class TransformerForms {
    private TransformerForms() {}

    public static PicturesForm pictures(String asset, TransformerPicture transformer) {
        return new PicturesForm(
                PicturesForm.FORM,
                asset,
                Pictures.of(transformer).stream()
                        .map(kind -> new PicturesForm.PictureForm(
                                kind.key(),
                                kind.title(),
                                "/api/v1/assets/" + asset + "/pictures/" + kind.key() + ".svg"))
                        .toList());
    }

    public static SamplesForm samples(String asset, TransformerPicture transformer) {
        List<SamplesForm.DifferenceForm> differences = new ArrayList<>();
        String notCompared = null;
        Finding<LaboratoryComparison> comparison = transformer.comparison();
        if (comparison instanceof Finding.Told<LaboratoryComparison> told) {
            for (LaboratoryComparison.Difference one : told.value().differences()) {
                differences.add(new SamplesForm.DifferenceForm(
                        one.gas().words(),
                        one.laboratoryPpm(),
                        one.monitorPpm(),
                        one.bandPpm(),
                        one.disagrees(),
                        told.value().monitor().at().toString()));
            }
        } else if (comparison instanceof Finding.Untold<LaboratoryComparison> untold) {
            notCompared = untold.why().sentence() + ": " + untold.detail();
        }
        return new SamplesForm(
                SamplesForm.FORM,
                asset,
                transformer.laboratory().stream()
                        .map(TransformerForms::laboratory)
                        .toList(),
                differences,
                notCompared);
    }

    private static SamplesForm.LaboratoryForm laboratory(LaboratorySample entered) {
        GasSample sample = entered.sample();
        Map<String, String> gases = new LinkedHashMap<>();
        sample.gases().forEach((gas, known) -> gases.put(gas.words().replace(' ', '-'), written(known)));
        return new SamplesForm.LaboratoryForm(
                sample.source().id(),
                sample.at().toString(),
                entered.reference(),
                gases,
                new ActorForm(entered.by().name(), entered.by().door()),
                Written.time(entered.enteredWallMillis()));
    }

    private static String written(Concentration known) {
        if (known instanceof Concentration.BelowDetection below) {
            return "<" + PlainNumber.of(below.limitPpm());
        }
        return (known instanceof Concentration.Saturated ? ">" : "") + PlainNumber.of(known.nominalPpm());
    }
}
