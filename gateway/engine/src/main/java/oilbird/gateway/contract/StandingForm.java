package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonUnwrapped;
import java.util.List;

/**
 * What persons have set on the station, and what they may want to do: form {@code oilbird.standing/1}.
 *
 * @param proposals alarms that chatter; shelving them is proposed and never done by itself.
 */
public record StandingForm(
        String form,
        StationForm station,
        String asOf,
        List<KeepAwayForm> keepAway,
        List<Maintained> maintenance,
        List<TestForm> tests,
        List<ReleaseForm> releases,
        List<ProposalForm> proposals) {
    public static final String FORM = "oilbird.standing/1";

    public StandingForm {
        keepAway = List.copyOf(keepAway);
        maintenance = List.copyOf(maintenance);
        tests = List.copyOf(tests);
        releases = List.copyOf(releases);
        proposals = List.copyOf(proposals);
    }

    /**
     * A device or asset in maintenance.
     *
     * @param alarms those that it took out of service and that its end places in service again.
     */
    public record Maintained(@JsonUnwrapped MaintenanceForm maintenance, List<String> alarms) {
        public Maintained {
            alarms = List.copyOf(alarms);
        }
    }

    /**
     * A connection that is left to somebody else; its devices are not polled.
     *
     * @param of id of the device, line or Modbus gateway that was asked for.
     * @param devices all devices on it.
     * @param until when it ends by itself.
     */
    public record ReleaseForm(
            String of, List<String> devices, ActorForm by, String reason, String since, String until) {
        public ReleaseForm {
            devices = List.copyOf(devices);
        }
    }

    /**
     * An alarm that chatters.
     *
     * @param activations how often it was raised within the window.
     * @param window ISO 8601 duration.
     * @param longest longest shelving time that it allows, ISO 8601 duration.
     */
    public record ProposalForm(String alarm, String proposal, int activations, String window, String longest) {}
}
