package oilbird.alarm.diagnosis;

import java.util.List;
import java.util.Optional;

/**
 * The causes of a whole station and the signs that they produce: a two-level network, with the checks that tell the
 * causes apart.
 *
 * @param signs each once, in the order in which causes name them.
 * @param otherwise for each sign how often it shows without any of the causes.
 * @param checks the first checks of the devices that have causes, in the order of the devices.
 */
public record StationCauses(
        List<Sign> signs, List<Rate> otherwise, List<CauseInstance> causes, List<DeviceChecks> checks) {
    /** A station without fault models. */
    public static final StationCauses NONE = new StationCauses(List.of(), List.of(), List.of());

    public StationCauses {
        signs = List.copyOf(signs);
        otherwise = List.copyOf(otherwise);
        causes = List.copyOf(causes);
        checks = List.copyOf(checks);
        if (signs.size() != otherwise.size()) {
            throw new IllegalArgumentException("a rate for each sign");
        }
    }

    /** Causes without checks. */
    public StationCauses(List<Sign> signs, List<Rate> otherwise, List<CauseInstance> causes) {
        this(signs, otherwise, causes, List.of());
    }

    /** The cause with this id. */
    public Optional<CauseInstance> cause(String id) {
        return causes.stream().filter(c -> c.id().equals(id)).findFirst();
    }

    /** The checks of a device. */
    public Optional<DeviceChecks> checksOf(String device) {
        return checks.stream().filter(c -> c.device().equals(device)).findFirst();
    }

    /** The check with this id: {@code gas-t1.look-at-cabinet-fan}. */
    public Optional<BoundCheck> check(String id) {
        return checks.stream()
                .flatMap(d -> d.checks().stream())
                .filter(c -> c.id().equals(id))
                .findFirst();
    }
}
