package oilbird.gateway.contract;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.record.SessionRow;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * What the record of a guided fault-finding is made of.
 *
 * @param steps its events, oldest first, at least the beginning.
 * @param rows the same as stored.
 * @param around other events of the station since a day before it began, oldest first.
 * @param identities what devices say of themselves, by id.
 */
public record FaultFindingExport(
        List<RecordedEvent> steps,
        List<SessionRow> rows,
        List<RecordedEvent> around,
        Map<String, Identity> identities,
        Moment at) {
    private static final String ALGORITHM = "hash = SHA-256 (FIPS 180-4) over the 32 bytes of the row before it in this"
            + " list, or 32 zero bytes for the first, and the UTF-8 bytes of body; recordHash likewise over"
            + " recordPrevious";
    /** A point of this name is the serial number that a device tells. */
    private static final String SERIAL_NUMBER = "serial-number";

    private static final String SILENT = "the device did not answer: no supply, or no connection";

    /** What a device says of itself by its protocol. */
    public record Identity(
            @Nullable String vendor,
            @Nullable String productCode,
            @Nullable String firmware) {}

    public FaultFindingExport {
        steps = List.copyOf(steps);
        rows = List.copyOf(rows);
        around = List.copyOf(around);
        identities = Map.copyOf(identities);
    }

    FaultFindingRecordForm form(Forms forms, StationFacts facts, StationView view) {
        StationEvent.FaultFinding first =
                (StationEvent.FaultFinding) steps.get(0).event();
        GuidedInput.Begun begun = (GuidedInput.Begun) first.of().input();
        List<String> assets = begun.assessment().assets();
        List<StationFacts.Device> devices =
                facts.devices().stream().filter(d -> assets.contains(d.asset())).toList();
        List<FaultFindingEventForm> told = steps.stream()
                .map(s -> FaultFindingForms.event(facts.id(), s, (StationEvent.FaultFinding) s.event(), true))
                .toList();
        return new FaultFindingRecordForm(
                FaultFindingRecordForm.FORM,
                forms.station(),
                first.session(),
                begun.assessment().diagnosis(),
                String.join(
                        ", ",
                        assets.stream()
                                .map(a -> facts.asset(a)
                                        .map(StationFacts.Asset::name)
                                        .orElse(a))
                                .toList()),
                assets,
                Written.time(at),
                told.stream()
                        .filter(t -> t.kind().equals("handed-over")
                                || t.kind().equals("given-up")
                                || t.follows().stream().anyMatch(f -> f.what().equals("proved-gone")))
                        .map(FaultFindingEventForm::at)
                        .findFirst()
                        .orElse(null),
                devices.stream().map(d -> device(d, facts)).toList(),
                told,
                measurements(told),
                interruptions(devices.stream().map(StationFacts.Device::id).toList()),
                around.stream()
                        .filter(e -> concerns(
                                e.event(),
                                assets,
                                devices.stream().map(StationFacts.Device::id).toList()))
                        .map(e -> forms.event(e, view))
                        .toList(),
                chain());
    }

    private FaultFindingRecordForm.DeviceForm device(StationFacts.Device device, StationFacts facts) {
        Identity identity = identities.get(device.id());
        return new FaultFindingRecordForm.DeviceForm(
                device.id(),
                device.name(),
                device.asset(),
                facts.asset(device.asset()).map(StationFacts.Asset::name).orElse(device.asset()),
                device.kind().map(),
                device.kind().product(),
                identity == null ? null : identity.vendor(),
                identity == null ? null : identity.productCode(),
                identity == null ? null : identity.firmware(),
                serialNumber(device.id()));
    }

    /** As the device told it, newest first. */
    private @Nullable String serialNumber(String device) {
        for (int i = steps.size() - 1; i >= 0; i--) {
            StationEvent.FaultFinding step =
                    (StationEvent.FaultFinding) steps.get(i).event();
            String found = step.seen().stream()
                    .filter(s -> s.device().equals(device))
                    .flatMap(s -> s.readings().stream())
                    .filter(r -> r.point().equals(SERIAL_NUMBER))
                    .map(r -> r.text() != null || r.number() == null
                            ? r.text()
                            : String.valueOf(r.number().longValue()))
                    .filter(Objects::nonNull)
                    .findFirst()
                    .orElse(null);
            if (found != null) {
                return found;
            }
        }
        return null;
    }

    static List<FaultFindingRecordForm.MeasurementForm> measurements(List<FaultFindingEventForm> steps) {
        List<FaultFindingRecordForm.MeasurementForm> measurements = new ArrayList<>();
        for (FaultFindingEventForm step : steps) {
            FaultFindingEventForm.MeasuredForm measured = step.measured();
            String check = step.check();
            if (measured != null && check != null) {
                measurements.add(new FaultFindingRecordForm.MeasurementForm(
                        step.version(),
                        check,
                        step.asked(),
                        measured.written(),
                        measured.value(),
                        measured.unit(),
                        measured.accepted(),
                        measured.verdict(),
                        step.by().name(),
                        step.at(),
                        step.doneAt()));
            }
        }
        return measurements;
    }

    private List<FaultFindingRecordForm.InterruptionForm> interruptions(List<String> devices) {
        Map<String, Moment> silent = new LinkedHashMap<>();
        List<FaultFindingRecordForm.InterruptionForm> found = new ArrayList<>();
        for (RecordedEvent recorded : around) {
            if (!(recorded.event() instanceof StationEvent.Notice notice)) {
                continue;
            }
            String device = notice.subject().owner();
            if (notice.kind() == StationEvent.Notice.Kind.GATEWAY_STARTED) {
                found.add(new FaultFindingRecordForm.InterruptionForm(
                        null,
                        Written.time(notice.at()),
                        Written.time(notice.at()),
                        "the gateway was started; what happened just before it did not see"));
            } else if (devices.contains(device) && notice.kind() == StationEvent.Notice.Kind.DEVICE_LOST) {
                silent.put(device, notice.at());
            } else if (devices.contains(device) && notice.kind() == StationEvent.Notice.Kind.DEVICE_BACK) {
                Moment from = silent.remove(device);
                if (from != null) {
                    found.add(new FaultFindingRecordForm.InterruptionForm(
                            device, Written.time(from), Written.time(notice.at()), SILENT));
                }
            }
        }
        silent.forEach((device, from) ->
                found.add(new FaultFindingRecordForm.InterruptionForm(device, Written.time(from), null, SILENT)));
        return found;
    }

    private static boolean concerns(StationEvent event, List<String> assets, List<String> devices) {
        if (event instanceof StationEvent.OfAlarm ofAlarm) {
            return assets.contains(ofAlarm.event().alarm().asset());
        }
        if (event instanceof StationEvent.Notice notice) {
            String owner = notice.subject().owner();
            return devices.contains(owner) || assets.contains(owner);
        }
        if (event instanceof StationEvent.Diagnosed diagnosed) {
            return diagnosed.assets().stream().anyMatch(assets::contains);
        }
        return event instanceof StationEvent.KeptAway keptAway && assets.contains(keptAway.asset());
    }

    private FaultFindingRecordForm.ChainForm chain() {
        HexFormat hex = HexFormat.of();
        return new FaultFindingRecordForm.ChainForm(
                ALGORITHM,
                rows.stream()
                        .map(r -> new FaultFindingRecordForm.RowForm(
                                r.position(),
                                new String(r.body(), StandardCharsets.UTF_8),
                                hex.formatHex(r.hash()),
                                hex.formatHex(r.recordPrevious()),
                                hex.formatHex(r.recordHash())))
                        .toList(),
                rows.isEmpty() ? "" : hex.formatHex(rows.get(rows.size() - 1).hash()));
    }
}
