package oilbird.demoplant;

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
import oilbird.demoplant.wire.DeviceServer;
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
            reset DEVICE                       let go of everything held, healthy again
            state                              every device, its readings and the bits that are set
            pause | resume                     the script of scenes; the devices go on
            help | quit
            """;

    private static final int LONGEST_COMMAND = 500;
    private static final int LONGEST_DELAY_MS = 600_000;

    private final Plant plant;
    private final Runnable quit;

    /** @param quit ends the plant */
    Commands(Plant plant, Runnable quit) {
        this.plant = plant;
        this.quit = quit;
    }

    /**
     * What became of a command.
     *
     * @param done whether it was obeyed
     * @param text what to tell the one who gave it
     */
    record Answer(boolean done, String text) {
        static Answer ok(String text) {
            return new Answer(true, text);
        }

        static Answer no(String text) {
            return new Answer(false, text);
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
            case "pause":
                plant.pauseScript();
                return Answer.ok("script paused");
            case "resume":
                plant.resumeScript();
                return Answer.ok("script running");
            case "help":
                return Answer.ok(HELP.stripTrailing());
            case "quit":
                quit.run();
                return Answer.ok("the plant ends");
            default:
                return Answer.no("unknown command \"" + words.get(0) + "\"; say help");
        }
    }

    private interface DeviceCommand {
        Answer obey(DeviceServer device, List<String> words);
    }

    private Answer withDevice(List<String> words, DeviceCommand command) {
        Optional<DeviceServer> device = plant.device(words.get(1));
        if (device.isEmpty()) {
            return Answer.no("no device \"" + words.get(1) + "\"; there are "
                    + String.join(", ", plant.devices().keySet()));
        }
        return command.obey(device.get(), words);
    }

    private Answer bit(DeviceServer device, List<String> words) {
        Monitor monitor = device.monitor();
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
        return Answer.ok(monitor.name() + " " + bit.get().name() + " is " + (monitor.isSet(bit.get()) ? "on" : "off"));
    }

    private Answer reading(DeviceServer device, List<String> words) {
        Monitor monitor = device.monitor();
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
            if (!reading.coding().carries(value)) {
                return Answer.no("the maker has no code for \"no value\" in " + reading.name());
            }
        } else {
            try {
                value = Double.parseDouble(words.get(3));
            } catch (NumberFormatException notANumber) {
                return Answer.no("\"" + words.get(3) + "\" is neither a number nor no-value nor auto");
            }
            if (!Double.isFinite(value) || !reading.coding().carries(value)) {
                return Answer.no(String.format(
                        Locale.ROOT,
                        "%s cannot carry %s; its registers hold %.6g to %.6g %s",
                        reading.name(),
                        words.get(3),
                        reading.coding().least(),
                        reading.coding().greatest(),
                        reading.unit()));
            }
        }
        monitor.hold(reading, value);
        return Answer.ok(monitor.name() + " " + reading.name() + " is held at " + words.get(3));
    }

    private Answer register(DeviceServer device, List<String> words) {
        Monitor monitor = device.monitor();
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

    private Answer behave(DeviceServer device, List<String> words) {
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
            device.behave(behaviour);
        } catch (PortTaken taken) {
            return Answer.no(String.valueOf(taken.getMessage()));
        }
        return Answer.ok(device.monitor().name() + " is now " + behaviour);
    }

    private Answer reset(DeviceServer device, List<String> words) {
        device.monitor().reset();
        return Answer.ok(words.get(1) + " is healthy and nothing is held");
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
