package oilbird.demoplant;

import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.stream.Collectors;
import oilbird.demoplant.device.BitForm;
import oilbird.demoplant.device.Monitor;
import oilbird.demoplant.device.ReadingForm;
import oilbird.demoplant.wire.Behaviour;
import oilbird.demoplant.wire.Behaviour.Kind;
import oilbird.demoplant.wire.PortTaken;

/**
 * The plant's commands, one line each, the same by standard input and by HTTP.
 *
 * <p>A command that cannot be obeyed changes nothing and is answered with what is wrong and what would do.
 */
final class Commands {
    static final String HELP = """
            bit DEVICE BIT on|off|auto         hold a bit (by name or as status:2), or give it back
            reading DEVICE NAME VALUE|no-value|auto
            register DEVICE NUMBER VALUE|auto  hold a raw register, whatever it means
            behave DEVICE normal|silent|refuse|exception CODE|slow MS|garbage|late|wrong-transaction
            reset DEVICE                       let go of everything held
            fault NAME TARGET on|off           play a fault from now on, or end it now
            faults TARGET                      what can befall a device, a transformer, a supply or line, weather
            state                              every device, its readings and the bits that are set
            day                                the scripted day begins
            help | quit
            """;

    private static final int LONGEST_COMMAND = 500;
    private static final int LONGEST_DELAY_MS = 600_000;

    private final LivePlant plant;
    private final Runnable day;

    /** @param day begins the scripted day */
    Commands(LivePlant plant, Runnable day) {
        this.plant = plant;
        this.day = day;
    }

    /**
     * What became of a command.
     *
     * @param done whether it was obeyed
     * @param text what to tell the one who gave it
     * @param last whether the plant ends once that is told
     */
    record Answer(boolean done, String text, boolean last) {
        static Answer ok(String text) {
            return new Answer(true, text, false);
        }

        static Answer no(String text) {
            return new Answer(false, text, false);
        }
    }

    /** Obeys one line. */
    Answer obey(String line) {
        if (line.length() > LONGEST_COMMAND) {
            return Answer.no("a command has at most " + LONGEST_COMMAND + " characters");
        }
        List<String> words = List.of(line.strip().split("\\s+"));
        int arguments = words.size() - 1;
        switch (words.get(0)) {
            case "bit":
                return arguments == 3 ? withDevice(words, this::bit) : usage("bit DEVICE BIT on|off|auto");
            case "reading":
                return arguments == 3
                        ? withDevice(words, this::reading)
                        : usage("reading DEVICE NAME VALUE|no-value|auto");
            case "register":
                return arguments == 3 ? withDevice(words, this::register) : usage("register DEVICE NUMBER VALUE|auto");
            case "behave":
                return arguments == 2 || arguments == 3
                        ? withDevice(words, this::behave)
                        : usage("behave DEVICE KIND [NUMBER]");
            case "reset":
                return arguments == 1 ? withDevice(words, this::reset) : usage("reset DEVICE");
            case "state":
                return Answer.ok(plant.describe().stripTrailing());
            case "fault":
                return arguments == 3 ? fault(words) : usage("fault NAME TARGET on|off");
            case "faults":
                return arguments == 1 ? faults(words.get(1)) : usage("faults TARGET");
            case "day":
                day.run();
                return Answer.ok("the day begins");
            case "help":
                return Answer.ok(HELP.stripTrailing());
            case "quit":
                return new Answer(true, "the plant ends", true);
            default:
                return Answer.no("unknown command \"" + words.get(0) + "\"; say help");
        }
    }

    private interface DeviceCommand {
        Answer obey(Monitor monitor, List<String> words);
    }

    private Answer withDevice(List<String> words, DeviceCommand command) {
        Optional<Monitor> monitor = plant.monitor(words.get(1));
        if (monitor.isEmpty()) {
            return Answer.no("no device \"" + words.get(1) + "\"; there are "
                    + String.join(", ", plant.plant().monitors().keySet()));
        }
        return command.obey(monitor.get(), words);
    }

    private Answer bit(Monitor monitor, List<String> words) {
        Optional<BitForm> bit = monitor.bit(words.get(2));
        if (bit.isEmpty()) {
            return Answer.no(monitor.name() + " has no bit \"" + words.get(2) + "\"; it has "
                    + monitor.bits().stream().map(BitForm::name).collect(Collectors.joining(", ")));
        }
        switch (words.get(3)) {
            case "on" -> monitor.hold(bit.get(), true);
            case "off" -> monitor.hold(bit.get(), false);
            case "auto" -> monitor.release(bit.get());
            default -> {
                return Answer.no("a bit is put on, off or auto, not \"" + words.get(3) + "\"");
            }
        }
        return Answer.ok(monitor.name() + " " + bit.get().name() + " is "
                + (monitor.isSet(bit.get(), plant.now()) ? "on" : "off"));
    }

    private Answer reading(Monitor monitor, List<String> words) {
        ReadingForm reading = monitor.readings().get(words.get(2));
        if (reading == null) {
            return Answer.no(monitor.name() + " has no reading \"" + words.get(2) + "\"; it has "
                    + String.join(", ", monitor.readings().keySet()));
        }
        if (words.get(3).equals("auto")) {
            monitor.release(reading);
            return Answer.ok(monitor.name() + " " + reading.name() + " is the monitor's own again");
        }
        double value;
        if (words.get(3).equals("no-value")) {
            value = Double.NaN;
            if (!reading.place().carries(value)) {
                return Answer.no("the maker has no code for \"no value\" in " + reading.name());
            }
        } else {
            try {
                value = Double.parseDouble(words.get(3));
            } catch (NumberFormatException notANumber) {
                return Answer.no("\"" + words.get(3) + "\" is neither a number nor no-value nor auto");
            }
            if (!Double.isFinite(value) || !reading.place().carries(value)) {
                return Answer.no(String.format(
                        Locale.ROOT,
                        "%s cannot carry %s; its registers hold %.6g to %.6g %s",
                        reading.name(),
                        words.get(3),
                        reading.place().least(),
                        reading.place().greatest(),
                        reading.unit()));
            }
        }
        monitor.hold(reading, value);
        return Answer.ok(monitor.name() + " " + reading.name() + " is held at " + words.get(3));
    }

    private Answer register(Monitor monitor, List<String> words) {
        if (monitor.registerCount() == 0) {
            return Answer.no(monitor.name() + " has no registers");
        }
        OptionalInt number = number(words.get(2), 0, monitor.registerCount() - 1);
        if (number.isEmpty()) {
            return Answer.no(monitor.name() + " has registers 0 to " + (monitor.registerCount() - 1) + ", not \""
                    + words.get(2) + "\"");
        }
        if (words.get(3).equals("auto")) {
            monitor.releaseRegister(number.getAsInt());
            return Answer.ok(monitor.name() + " register " + number.getAsInt() + " is the monitor's own again");
        }
        OptionalInt value = number(words.get(3), 0, 0xFFFF);
        if (value.isEmpty()) {
            return Answer.no("a register holds 0 to 65535 (or 0x0000 to 0xFFFF), not \"" + words.get(3) + "\"");
        }
        monitor.holdRegister(number.getAsInt(), value.getAsInt());
        return Answer.ok(monitor.name() + " register " + number.getAsInt() + " is held at " + words.get(3));
    }

    private Answer behave(Monitor monitor, List<String> words) {
        if (!plant.canBehave(monitor.name())) {
            return Answer.no(monitor.name() + " speaks OPC UA; play a fault such as communication-lost instead");
        }
        Optional<Kind> kind = Kind.of(words.get(2));
        if (kind.isEmpty()) {
            return Answer.no(
                    "no behaviour \"" + words.get(2)
                            + "\"; there are normal, silent, refuse, exception CODE, slow MS, garbage, late, wrong-transaction");
        }
        boolean takesNumber = kind.get().takesNumber();
        if (takesNumber != (words.size() == 4)) {
            return Answer.no(
                    takesNumber
                            ? kind.get().word() + " needs a number, such as "
                                    + kind.get().word() + " 4"
                            : kind.get().word() + " takes no number");
        }
        int number = 0;
        if (takesNumber) {
            int greatest = kind.get() == Kind.EXCEPTION ? 255 : LONGEST_DELAY_MS;
            OptionalInt given = number(words.get(3), 1, greatest);
            if (given.isEmpty()) {
                return Answer.no(kind.get().word() + " takes 1 to " + greatest + ", not \"" + words.get(3) + "\"");
            }
            number = given.getAsInt();
        }
        Behaviour behaviour = new Behaviour(kind.get(), number);
        try {
            plant.behave(monitor.name(), behaviour);
        } catch (PortTaken taken) {
            return Answer.no(String.valueOf(taken.getMessage()));
        }
        return Answer.ok(monitor.name() + " is now " + behaviour);
    }

    private Answer reset(Monitor monitor, List<String> words) {
        monitor.releaseAll();
        return Answer.ok(words.get(1) + ": nothing is held");
    }

    private Answer fault(List<String> words) {
        String fault = words.get(1);
        String target = words.get(2);
        Duration now = Duration.ofMillis(plant.now());
        try {
            switch (words.get(3)) {
                case "on" -> plant.plant().inject(fault, target, now);
                case "off" -> {
                    if (!plant.plant().end(fault, target, now)) {
                        return Answer.no(fault + " is not on at " + target);
                    }
                }
                default -> {
                    return Answer.no("a fault is put on or off, not \"" + words.get(3) + "\"");
                }
            }
        } catch (IllegalArgumentException unknown) {
            return Answer.no(String.valueOf(unknown.getMessage()));
        }
        return Answer.ok(fault + " is " + words.get(3) + " at " + target);
    }

    private Answer faults(String target) {
        try {
            return Answer.ok(plant.plant().playableAt(target).stream()
                    .map(fault -> fault.name() + ": " + fault.text())
                    .collect(Collectors.joining(System.lineSeparator())));
        } catch (IllegalArgumentException unknown) {
            return Answer.no(String.valueOf(unknown.getMessage()));
        }
    }

    private static OptionalInt number(String text, int least, int greatest) {
        try {
            int number = Integer.decode(text);
            return number >= least && number <= greatest ? OptionalInt.of(number) : OptionalInt.empty();
        } catch (NumberFormatException notANumber) {
            return OptionalInt.empty();
        }
    }

    private static Answer usage(String form) {
        return Answer.no("the command is: " + form);
    }
}
