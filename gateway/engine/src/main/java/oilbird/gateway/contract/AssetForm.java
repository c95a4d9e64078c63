package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * One asset with everything that is known of it now: form {@code oilbird.asset/1}.
 *
 * @param kind {@code transformer} and so on, as in the station file.
 * @param maintenance present while the whole asset is in maintenance; a device's own stands with the device.
 * @param tests its points that are forced.
 * @param alarms those that need someone, in the order of the alarm page.
 * @param setAside those that do not sound, whatever their condition.
 * @param devices what each of its devices says.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record AssetForm(
        String form,
        StationForm station,
        String asset,
        String name,
        String kind,
        String asOf,
        boolean timeTrusted,
        @Nullable MaintenanceForm maintenance,
        List<TestForm> tests,
        List<AlarmStateForm> alarms,
        NeedsSomeoneForm.SetAside setAside,
        List<ReadingsForm> devices) {
    public static final String FORM = "oilbird.asset/1";

    public AssetForm {
        tests = List.copyOf(tests);
        alarms = List.copyOf(alarms);
        devices = List.copyOf(devices);
    }
}
