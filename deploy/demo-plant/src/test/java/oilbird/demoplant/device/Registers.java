package oilbird.demoplant.device;

import java.time.Duration;
import java.util.Objects;
import oilbird.demoplant.plant.Plant;

/** What stands in the registers of one monitor of a plant at a time. */
final class Registers {
    private final Plant plant;
    private final String device;
    private final int function;

    Registers(Plant plant, String device, int function) {
        this.plant = plant;
        this.device = device;
        this.function = function;
    }

    int at(Duration time, int register) {
        return plant.at(device, time).image().cells(function, register, 1)[0];
    }

    String hex(Duration time, int first, int count) {
        StringBuilder hex = new StringBuilder();
        for (int cell : plant.at(device, time).image().cells(function, first, count)) {
            hex.append(hex.isEmpty() ? "" : " ").append(String.format("%04X", cell));
        }
        return hex.toString();
    }

    Monitor monitor() {
        return Objects.requireNonNull(plant.monitors().get(device));
    }

    void hold(String reading, double value) {
        monitor().hold(Objects.requireNonNull(monitor().readings().get(reading)), value);
    }

    void holdBit(String bit, boolean on) {
        monitor().hold(monitor().bit(bit).orElseThrow(), on);
    }
}
