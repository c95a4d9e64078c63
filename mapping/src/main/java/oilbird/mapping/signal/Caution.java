package oilbird.mapping.signal;

/**
 * A warning that a first check carries. The owner's rules, permits and law prevail; nothing here says
 * that anything is dead or safe.
 *
 * <p>The list and its sources are ours, drawn from the standards named with each entry; the entries
 * without a second source are advice from the trade, not quotations.
 */
public enum Caution {
    S01(
            2,
            "any cabinet check",
            "Only qualified/instructed persons with permit; stay outside the limited/danger zone otherwise",
            "shock and arc",
            "EN 50110-1 cl. 4-6; NFPA 70E 110/130; OSHA 1910.269(a)(2)"),
    S02(
            3,
            "any work on parts",
            "Lock out and tag every source incl. AC/DC auxiliary heater and anti-condensation supplies",
            "multiple feeds in one cabinet",
            "OSHA 1910.147; 1910.333(b)(2); EN 50110-1 6.2"),
    S03(
            3,
            "voltage test",
            "Live-dead-live: prove tester before and after on a known source",
            "failed tester reads dead",
            "OSHA 1910.333(b)(2)(iv)(B); NFPA 70E 120.5; EN 50110-1 6.2.4; IEC 61243-3"),
    S04(
            3,
            "after isolation",
            "Discharge capacitors and earth where required; earth before short-circuiting",
            "stored energy",
            "1910.333(b)(2)(ii)(C); EN 50110-1 6.2.5"),
    S05(
            3,
            "CT circuits (winding temperature indicator; load current input)",
            "Never open a CT secondary under primary current; short at test block first; check the short before lifting a wire",
            "kilovolt peaks; fire",
            "IEC 61869-2; IEEE C57.13.3; utility practice"),
    S06(
            3,
            "VT circuits",
            "Never short a VT secondary; back-feed can energise the primary",
            "burn; back-feed",
            "IEC 61869-3; EN 50110-1"),
    S07(
            3,
            "fan group check",
            "Fan may start at any time by thermostat or remote control; do not remove guard; isolate first",
            "entanglement",
            "OSHA 1910.147; ISO 14120"),
    S08(
            2,
            "pump check",
            "Do not run a pump against closed valves; do not stop all pumps of an OFAF/ODAF unit in load; obey restart delay",
            "static electrification; overheating",
            "IEEE C57.93; IEC 60076-2"),
    S09(
            3,
            "oil valves / sampling",
            "Hot oil under pressure (may exceed 90 °C); wear face shield gloves; open slowly; catch oil",
            "burns; environment",
            "IEC 60475; IEC 60567; IEEE C57.106"),
    S10(
            3,
            "oil sampling",
            "Never sample with possible negative pressure at the valve; check level first",
            "air drawn into winding = flashover",
            "IEC 60475; IEEE C57.93"),
    S11(
            3,
            "Buchholz relay gas",
            "Gas may be combustible; no flame; take sample by trained person with outage rules; after a trip do not re-energise before investigation",
            "explosion; internal fault",
            "IEC 60567; IEC 60076-22-1; IEEE C57.125"),
    S12(
            0,
            "high acetylene or fast gas rise",
            "Keep people away from the tank and bushings; decide de-energising from remote",
            "tank rupture",
            "IEEE C57.104; IEC 60599; utility rule"),
    S13(
            1,
            "pressure relief device",
            "Do not stand in discharge direction; do not touch on energised unit",
            "hot oil jet",
            "IEC 60076-22-1"),
    S14(
            4,
            "bushing monitor / tap",
            "Never open a bushing test tap or sensor lead while energised; cap must be earthed",
            "tap floats to high voltage; explosion",
            "IEC 60137; IEC 60076-22; maker instruction"),
    S15(
            4,
            "core/clamp earth current",
            "Do not open the core-earth link on an energised unit",
            "high voltage at link",
            "IEEE C57.125"),
    S16(
            4,
            "tap changer",
            "No hand-crank while motor supply is on; no operation with suspected vacuum/diverter fault",
            "injury; arc",
            "IEC 60214-1/-2"),
    S17(
            3,
            "small-signal cards and sensors",
            "Use wrist strap and ESD bag; power off before unplugging",
            "component damage",
            "IEC 61340-5-1"),
    S18(
            2,
            "4-20 mA and RS-485 loops",
            "Do not break a loop that feeds trips; put the consumer in test/blocked first",
            "unwanted trip",
            "IEC 61850 test mode; utility practice"),
    S19(
            2,
            "protection contacts",
            "Never bridge or lift trip contacts for a check without a blocking permit",
            "trip or loss of protection",
            "EN 50110-1; utility"),
    S20(
            3,
            "measuring instrument",
            "CAT III/IV rated and fused leads; right range",
            "arc in meter",
            "IEC 61010-2-033; IEC 61010-031"),
    S21(
            2,
            "arc flash",
            "Read the label; wear rated clothing; door opening counts as task",
            "burn",
            "NFPA 70E 130.5-130.7; IEC 61482-2"),
    S22(
            2,
            "heater / anti-condensation",
            "Surface may be hot; feed often comes from another board",
            "burn; second source",
            "OSHA 1910.147; EN 50110-1"),
    S23(
            3,
            "DC auxiliary supply",
            "Battery cannot be switched off by upstream breaker alone; earth-fault sensitive system - no test lamps to earth",
            "false trip; arc",
            "IEEE 946; EN 50110-1; IEC 62485-2"),
    S24(
            4,
            "nitrogen / SF6 / confined space",
            "Test atmosphere before entry; ventilate",
            "asphyxia",
            "OSHA 1910.146; 1910.269(e); IEC 62271-4"),
    S25(
            1,
            "ladders and tank cover",
            "No climbing on an energised transformer; keep approach distance",
            "flashover",
            "OSHA 1910.269 table R-6; EN 50110-1 Annex A"),
    S26(
            3,
            "gas chromatograph monitors",
            "Calibration and carrier gas cylinders: secure; close valve; leak test",
            "pressure; hydrogen fire",
            "ISO 11625; IEC 60079-10-1"),
    S27(3, "optical sensors", "Do not look into a fibre or laser source", "eye injury", "IEC 60825-1/-2"),
    S28(
            1,
            "earth grid and storms",
            "No field checks in thunderstorm or during system earth fault",
            "step and touch voltage",
            "IEC 61936-1; EN 50522"),
    S29(
            1,
            "wildlife heat noise",
            "Look and listen from the fence first (leak level breather colour noise smell)",
            "lowest risk first",
            "E191 confirm step; IEEE C57.93"),
    S30(
            0,
            "remote command",
            "Gateway is read-only; any switching is by the control room under its own rules",
            "responsibility",
            "IEC 62443-4-2 CR 2.1; EN 50110-1 4.3"),
    S31(
            3,
            "oil handling",
            "PCB possible in old units; avoid skin contact",
            "health",
            "national PCB rules; IEC 61619; IEC 60422"),
    S32(
            3,
            "after work",
            "Remove earths and tools; inspect; notify; remove own lock only",
            "re-energising",
            "OSHA 1910.147(e); EN 50110-1 6.2.7");

    private final int minExposure;
    private final String appliesTo;
    private final String text;
    private final String why;
    private final String standard;

    Caution(int minExposure, String appliesTo, String text, String why, String standard) {
        this.minExposure = minExposure;
        this.appliesTo = appliesTo;
        this.text = text;
        this.why = why;
        this.standard = standard;
    }

    /** Lowest exposure (0 to 4) of a check to which the caution belongs. */
    public int minExposure() {
        return minExposure;
    }

    /** The work or circuit that it is about. */
    public String appliesTo() {
        return appliesTo;
    }

    /** What to do or not to do. */
    public String text() {
        return text;
    }

    /** What happens otherwise. */
    public String why() {
        return why;
    }

    /** Standards and clauses, from memory where the entry has no second source. */
    public String standard() {
        return standard;
    }
}
