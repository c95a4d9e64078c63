package oilbird.gateway.station;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.CodingErrorAction;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.function.BiFunction;
import java.util.stream.Stream;
import oilbird.alarm.diagnosis.CauseBinder;
import oilbird.alarm.diagnosis.FaultModel;
import oilbird.alarm.diagnosis.FaultModelReader;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.rule.AlarmRule;
import oilbird.alarm.rule.RuleBinder;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.RuleReader;
import oilbird.alarm.rule.Scope;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.transformer.derived.DerivedSignals;
import oilbird.gateway.access.AccessRules;
import oilbird.gateway.points.GivenOut;
import oilbird.gateway.points.PointList;
import oilbird.gateway.points.PointListReader;
import oilbird.gateway.station.StationFile.DeviceEntry;
import oilbird.gateway.station.StationFile.PeriodEntry;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problem;
import oilbird.mapping.text.Problems;
import org.jspecify.annotations.Nullable;

/**
 * Reads a station folder: {@code station.yaml}, {@code maps/*.yaml}, {@code rules/*.yaml} and, where there are,
 * {@code causes/*.yaml} and {@code access.yaml}. Reads each file once
 * and reports every mistake of all of them, not the first.
 */
public final class StationFolder {
    /** Rules on the gateway's own indications; part of the gateway, not of a station. */
    private static final String GATEWAY_RULES = "/oilbird/rules/gateway.yaml";
    /** Rules on the loss of what devices share; the same in every station that has such a thing. */
    private static final String SHARED_RULES = "/oilbird/rules/shared.yaml";

    private static final Duration SHORTEST_PERIOD = Duration.ofMillis(10);
    private static final Duration LONGEST_PERIOD = Duration.ofHours(24);

    private final Path folder;
    private final @Nullable Map<String, String> otherRules;
    private final Map<String, String> rulesRead = new LinkedHashMap<>();
    private final Problems problems = new Problems();
    private final MessageDigest digest;

    /** Point lists may have addresses that were not given out yet. */
    private final boolean givingOut;

    private StationFolder(Path folder, @Nullable Map<String, String> otherRules, boolean givingOut) {
        this.folder = folder;
        this.givingOut = givingOut;
        this.otherRules = otherRules;
        try {
            this.digest = MessageDigest.getInstance("SHA-256");
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException(e);
        }
    }

    /** The station, or every mistake in its folder. */
    public static Loaded<Station> load(Path folder) {
        return read(folder).station();
    }

    /**
     * A folder that was read.
     *
     * @param rules text of each rule file by its name below the folder, as it was read: the digest of the rules is
     *     of these texts, whatever is written to the files meanwhile.
     */
    public record Read(Loaded<Station> station, Map<String, String> rules) {}

    /** The station with the texts of its rules. */
    public static Read read(Path folder) {
        StationFolder reading = new StationFolder(folder, null, false);
        return new Read(reading.load(), reading.rulesRead);
    }

    /** The station as it will be once the addresses of its point lists are given out. */
    public static Loaded<Station> givingOut(Path folder) {
        return new StationFolder(folder, null, true).load();
    }

    /** The station with these rules in the place of those in the folder. */
    public static Loaded<Station> withRules(Path folder, Map<String, String> rules) {
        return new StationFolder(folder, rules, false).load();
    }

    private Loaded<Station> load() {
        StationFile file = take(text(StationFile.FILE).map(StationFile::read));
        Map<String, DeviceMap> maps = new LinkedHashMap<>();
        for (String name : yamlFiles("maps")) {
            DeviceMap map = read(name, MapReader::read);
            String id = name.substring("maps/".length(), name.lastIndexOf('.'));
            if (map != null) {
                if (!map.name().equals(id)) {
                    problems.error(
                            new Position(name, 1, 1),
                            "the map is named `" + map.name() + "` and its file `" + id + "`",
                            "rename the file to " + map.name() + ".yaml, or the map to " + id);
                }
                maps.put(id, map);
            }
        }
        ruleFiles();
        List<AlarmRule> rules = new ArrayList<>();
        rulesRead.forEach((name, text) -> {
            List<AlarmRule> read = take(Optional.of(RuleReader.read(name, text)));
            if (read != null) {
                rules.addAll(read);
            }
        });
        rules.addAll(ownRules(GATEWAY_RULES));
        List<FaultModel> models = new ArrayList<>();
        for (String name : optionalYamlFiles("causes")) {
            FaultModel model = read(name, FaultModelReader::read);
            if (model != null) {
                models.add(model);
            }
        }
        AccessRules access = Files.exists(folder.resolve(AccessRules.FILE))
                ? take(text(AccessRules.FILE).map(AccessRules::read))
                : AccessRules.DEFAULT;
        if (file == null || access == null) {
            return problems.loaded(null);
        }
        List<PolledDevice> devices = devices(file, maps);
        checkSecrets(file.links());
        LineLoad.of(devices).forEach(line -> tellLoad(line, file));
        if (maps.containsKey(DerivedSignals.MAP)) {
            problems.error(
                    new Position("maps/" + DerivedSignals.MAP + ".yaml", 1, 1),
                    "rules know what is computed of transformers as `" + DerivedSignals.MAP + "`",
                    "give the map another name");
        }
        Computations computations = Computations.of(file, devices, problems);
        StationFacts facts = facts(file, devices, computations);
        if (problems.refused()) {
            // Rules are bound only to what was read whole: otherwise one mistake would be told many times.
            return problems.loaded(null);
        }
        List<String> kinds = facts.devices().stream().map(d -> d.kind().map()).toList();
        ownRules(SHARED_RULES).stream()
                .filter(r -> r.scope() instanceof Scope.DevicesOfMap of && kinds.contains(of.map()))
                .forEach(rules::add);
        List<RuleInstance> bound = take(Optional.of(RuleBinder.bind(rules, facts, known(maps))));
        if (bound == null) {
            return problems.loaded(null);
        }
        StationCauses causes = take(Optional.of(CauseBinder.bind(models, facts, bound, maps.keySet())));
        if (causes == null) {
            return problems.loaded(null);
        }
        Map<String, PointList> points = new LinkedHashMap<>();
        file.points().forEach((link, of) -> {
            PointList list = pointList(of, facts, bound);
            if (list != null) {
                points.put(link, list);
            }
        });
        if (problems.refused()) {
            return problems.loaded(null);
        }
        StationModel.Settings settings = new StationModel.Settings(
                file.acknowledgementOwner(),
                StationModel.Settings.DEFAULT.chatterCount(),
                StationModel.Settings.DEFAULT.chatterWindow(),
                StationModel.Settings.DEFAULT.leastStaleAge(),
                file.startUpHold());
        List<LinkSettings> links =
                file.links().stream().map(StationFile.LinkEntry::settings).toList();
        String version = HexFormat.of().formatHex(digest.digest());
        return problems.loaded(new Station(
                file.owner(),
                new StationModel(facts, bound, causes, settings, version, computations.setups()),
                devices,
                links,
                access,
                file.manners(),
                file.record(),
                points));
    }

    private @Nullable PointList pointList(LinkPoints of, StationFacts facts, List<RuleInstance> rules) {
        String name = of.list();
        if (name == null) {
            return PointList.byDefault(facts);
        }
        if (!Files.exists(folder.resolve(name))) {
            problems.error(
                    of.position(),
                    "there is no point list `" + name + "` in the station folder",
                    "put the control room's list there, or leave `list` out to serve the default points");
            return null;
        }
        String ledger = GivenOut.fileOf(name);
        GivenOut givenOut = GivenOut.nothing(ledger);
        if (Files.exists(folder.resolve(ledger))) {
            GivenOut known = take(beside(ledger).map(text -> GivenOut.read(ledger, text)));
            if (known == null) {
                return null;
            }
            givenOut = known;
        }
        GivenOut known = givenOut;
        return take(beside(name)
                .map(text -> PointListReader.read(name, text, facts, rules, of.limits(), known, givingOut)));
    }

    private void checkSecrets(List<StationFile.LinkEntry> links) {
        for (StationFile.LinkEntry link : links) {
            if (link.secretFile() != null
                    && link.settings() instanceof WebhookLinkSettings webhook
                    && webhook.secret().file() != null) {
                checkSecret(webhook.secret().file(), link.secretFile());
            }
        }
    }

    private void ruleFiles() {
        if (otherRules == null) {
            yamlFiles("rules").forEach(name -> text(name).ifPresent(text -> rulesRead.put(name, text)));
            return;
        }
        otherRules.forEach((name, text) -> {
            digested(name, text.getBytes(StandardCharsets.UTF_8));
            rulesRead.put(name, text);
        });
    }

    private List<PolledDevice> devices(StationFile file, Map<String, DeviceMap> maps) {
        List<PolledDevice> devices = new ArrayList<>();
        List<String> assets =
                file.assets().stream().map(StationFile.AssetEntry::id).toList();
        for (DeviceEntry entry : file.devices()) {
            if (!entry.asset().isEmpty() && !assets.contains(entry.asset())) {
                problems.error(
                        entry.assetPosition(),
                        "there is no asset `" + entry.asset() + "`",
                        "write one of " + String.join(", ", assets));
            }
            DeviceMap map = maps.get(entry.map());
            if (map == null) {
                if (!entry.map().isEmpty() && !Files.exists(folder.resolve("maps/" + entry.map() + ".yaml"))) {
                    problems.error(
                            entry.mapPosition(),
                            "there is no device map `" + entry.map() + "`",
                            maps.isEmpty()
                                    ? "put it into maps/" + entry.map() + ".yaml"
                                    : "put it into maps/" + entry.map() + ".yaml, or write one of "
                                            + String.join(", ", maps.keySet()));
                }
                continue;
            }
            Endpoint endpoint = entry.endpoint();
            if (endpoint == null) {
                continue;
            }
            boolean opcUa = endpoint instanceof OpcUaEndpoint;
            if (opcUa != (map.nodes() != null)) {
                problems.error(
                        entry.mapPosition(),
                        "the map " + map.name() + " is for " + (opcUa ? "Modbus" : "OPC UA"),
                        "give the device an address in " + (opcUa ? "Modbus" : "opc_ua:") + ", or another map");
            }
            if (endpoint instanceof OpcUaEndpoint server) {
                checkSecrets(server.identity(), entry.position());
            }
            if (endpoint instanceof ModbusRtuEndpoint unit && !opcUa && map.nodes() == null) {
                checkDeadline(unit, map, entry.mapPosition());
            }
            devices.add(new PolledDevice(entry.id(), map, endpoint, periods(entry, map)));
        }
        return devices;
    }

    /** An answer that takes longer on the wires than the unit is given can never come in time. */
    private void checkDeadline(ModbusRtuEndpoint unit, DeviceMap map, Position at) {
        map.readPlan().stream()
                .max(Comparator.comparing(unit::answeredWithin))
                .filter(slowest -> unit.answeredWithin(slowest).compareTo(unit.deadline()) > 0)
                .ifPresent(slowest -> problems.error(
                        at,
                        "the request " + slowest.name() + " and its answer take "
                                + unit.answeredWithin(slowest).toMillis() + " ms of the line "
                                + unit.line().id()
                                + ", and the deadline is "
                                + unit.deadline().toMillis() + " ms",
                        "write a longer deadline: under modbus_rtu, or let the map read less at once (requests:"
                                + " max_registers)"));
    }

    private void checkSecrets(OpcUaEndpoint.Identity identity, Position at) {
        List<@Nullable String> files = new ArrayList<>();
        if (identity instanceof OpcUaEndpoint.UserName user) {
            files.add(user.password().file());
        } else if (identity instanceof OpcUaEndpoint.UserCertificate certificate) {
            files.add(certificate.file());
            files.add(
                    certificate.password() == null
                            ? null
                            : certificate.password().file());
        }
        for (String file : files) {
            if (file != null) {
                checkSecret(file, at);
            }
        }
    }

    private void checkSecret(String file, Position at) {
        if (!isOutside(file)) {
            problems.error(
                    at,
                    "the secret " + file + " would be kept with the station folder",
                    "name a file in the folder secrets of the gateway's data folder, or an absolute path elsewhere;"
                            + " what is in the station folder goes where its copies go");
        }
    }

    /** Whether a secret's file is neither in the station folder nor somewhere unclear. */
    private boolean isOutside(String file) {
        try {
            Path path = Path.of(file);
            return path.isAbsolute()
                    ? !path.normalize().startsWith(folder.toAbsolutePath().normalize())
                    : !path.normalize().startsWith("..");
        } catch (InvalidPathException noPath) {
            return false;
        }
    }

    private void tellLoad(LineLoad line, StationFile file) {
        if (line.fits() && !line.isTight()) {
            return;
        }
        String first = line.devices().get(0).id();
        Position at = file.devices().stream()
                .filter(d -> d.id().equals(first))
                .findFirst()
                .orElseThrow()
                .mapPosition();
        String load = "the line " + line.name() + " is busy for " + line.percent() + " % of the time with "
                + line.requests() + " requests (" + line.estimate() + ", estimated)";
        if (!line.fits()) {
            problems.error(
                    at,
                    load + ": the periods do not fit",
                    "make the periods under poll: at least " + line.timesLonger() + " times as long, or read less");
        } else {
            problems.warning(at, load, "leave room for a device that is slow to answer: make the periods longer");
        }
    }

    private Map<String, Duration> periods(DeviceEntry entry, DeviceMap map) {
        Map<String, Duration> periods = new LinkedHashMap<>(map.pollClasses());
        for (Map.Entry<String, PeriodEntry> own : entry.periods().entrySet()) {
            Duration period = own.getValue().period();
            if (!periods.containsKey(own.getKey())) {
                problems.error(
                        own.getValue().position(),
                        "the map " + map.name() + " has no poll class `" + own.getKey() + "`",
                        "write one of " + String.join(", ", periods.keySet()));
            } else if (period.compareTo(SHORTEST_PERIOD) < 0 || period.compareTo(LONGEST_PERIOD) > 0) {
                problems.error(
                        own.getValue().position(), "a polling period is 10 ms to 24 h", "write a period between these");
            } else {
                periods.put(own.getKey(), period);
            }
        }
        return periods;
    }

    /** Device maps that rules may be for, in use or not. */
    private static Set<String> known(Map<String, DeviceMap> maps) {
        Set<String> known = new LinkedHashSet<>(maps.keySet());
        known.add(DerivedSignals.MAP);
        return known;
    }

    private StationFacts facts(StationFile file, List<PolledDevice> devices, Computations computations) {
        List<StationFacts.Asset> assets = new ArrayList<>();
        file.assets().forEach(a -> assets.add(new StationFacts.Asset(a.id(), a.name(), a.kind())));
        assets.add(new StationFacts.Asset(StationFile.GATEWAY, file.gatewayName(), "gateway"));
        List<StationFacts.Device> known = new ArrayList<>();
        for (PolledDevice device : devices) {
            DeviceEntry entry = file.devices().stream()
                    .filter(d -> d.id().equals(device.id()))
                    .findFirst()
                    .orElseThrow();
            known.add(new StationFacts.Device(
                    device.id(),
                    entry.name(),
                    entry.asset(),
                    DeviceKinds.of(device.map(), device.periods()),
                    unverified(device.map())));
        }
        known.add(new StationFacts.Device(
                StationFile.GATEWAY, file.gatewayName(), StationFile.GATEWAY, GatewayDevice.kind(), List.of()));
        List<String> named = file.devices().stream().map(DeviceEntry::id).toList();
        if (known.size() == named.size() + 1) {
            known = new ArrayList<>(new StationFeatures(known, problems).take(file.features()));
        }
        known.addAll(computations.derived());
        SharedThings things = new SharedThings(assets, known, named, problems);
        List<Shared> shared = file.shared().stream().map(things::check).toList();
        shared.stream().filter(SharedDevice::canBeLost).map(SharedDevice::of).forEach(known::add);
        return new StationFacts(file.id(), file.name(), file.gatewayId(), assets, known, shared);
    }

    private static List<String> unverified(DeviceMap map) {
        return Stream.concat(
                        map.points().stream().filter(p -> p.verified() == null).map(p -> p.name()),
                        map.indications().stream()
                                .filter(i -> i.verified() == null)
                                .map(i -> i.name()))
                .toList();
    }

    private static List<AlarmRule> ownRules(String resource) {
        try (var in = StationFolder.class.getResourceAsStream(resource)) {
            if (in == null) {
                throw new IllegalStateException("missing resource " + resource);
            }
            String text = new String(in.readAllBytes(), StandardCharsets.UTF_8);
            String name = resource.substring(resource.lastIndexOf('/') + 1);
            Loaded<List<AlarmRule>> rules = RuleReader.read(name, text);
            return rules.result().orElseThrow(() -> new IllegalStateException(resource + ": " + rules.problems()));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private <T> @Nullable T read(String name, BiFunction<String, String, Loaded<T>> reader) {
        return take(text(name).map(text -> reader.apply(name, text)));
    }

    private <T> @Nullable T take(Optional<Loaded<T>> loaded) {
        loaded.ifPresent(l -> l.problems().forEach(problems::add));
        return loaded.flatMap(Loaded::result).orElse(null);
    }

    /** A station without fault models still works. */
    private List<String> optionalYamlFiles(String name) {
        return Files.exists(folder.resolve(name)) ? yamlFiles(name) : List.of();
    }

    private List<String> yamlFiles(String name) {
        try (Stream<Path> files = Files.list(folder.resolve(name))) {
            return files.map(f -> name + "/" + f.getFileName())
                    .filter(f -> f.endsWith(".yaml"))
                    .sorted()
                    .toList();
        } catch (NoSuchFileException e) {
            problems.error(new Position(name, 1, 1), "the station folder has no folder `" + name + "`", "create it");
            return List.of();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private Optional<String> text(String name) {
        return bytes(name).flatMap(bytes -> {
            digested(name, bytes);
            return decoded(name, bytes);
        });
    }

    /** A file that says nothing about rules, devices or assets, and does not make another version of them. */
    private Optional<String> beside(String name) {
        return bytes(name).flatMap(bytes -> decoded(name, bytes));
    }

    private Optional<byte[]> bytes(String name) {
        try {
            return Optional.of(Files.readAllBytes(folder.resolve(name)));
        } catch (NoSuchFileException e) {
            problems.add(Problem.error(
                    new Position(name, 1, 1),
                    "the file is missing in " + folder,
                    "create it, or name the folder that has it"));
            return Optional.empty();
        } catch (IOException e) {
            problems.error(new Position(name, 1, 1), "the file cannot be read: " + e.getMessage(), "check it");
            return Optional.empty();
        }
    }

    private Optional<String> decoded(String name, byte[] bytes) {
        try {
            return Optional.of(StandardCharsets.UTF_8
                    .newDecoder()
                    .onMalformedInput(CodingErrorAction.REPORT)
                    .decode(ByteBuffer.wrap(bytes))
                    .toString());
        } catch (CharacterCodingException e) {
            problems.error(placeOfBadByte(name, bytes), "this is not UTF-8", "save the file in UTF-8");
            return Optional.empty();
        }
    }

    private void digested(String name, byte[] bytes) {
        digest.update(name.getBytes(StandardCharsets.UTF_8));
        digest.update((byte) 0);
        digest.update(bytes);
    }

    private static Position placeOfBadByte(String name, byte[] bytes) {
        String replaced = new String(bytes, StandardCharsets.UTF_8);
        String before = replaced.substring(0, Math.max(0, replaced.indexOf('\uFFFD')));
        int line = (int) before.chars().filter(c -> c == '\n').count() + 1;
        return new Position(name, line, before.length() - before.lastIndexOf('\n'));
    }
}
