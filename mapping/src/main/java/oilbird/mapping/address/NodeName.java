package oilbird.mapping.address;

import java.util.Base64;
import java.util.Locale;
import java.util.Optional;
import java.util.UUID;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Names a node of an OPC UA server for good: by the URI of its namespace, since a namespace's index may change at
 * every start of a server.
 *
 * <p>OPC UA Part 3, 8.2 (NodeId); text form Part 6, 5.3.1.10 and 5.3.1.11.
 *
 * @param namespace URI of the namespace.
 * @param identifier in canonical text: a decimal number, a text, a lower-case GUID, or Base64.
 */
public record NodeName(String namespace, Kind kind, String identifier) {
    /** URI of namespace 0, the only one whose index is fixed. */
    public static final String STANDARD = "http://opcfoundation.org/UA/";

    private static final Pattern ID = Pattern.compile("([isgb])=(.+)", Pattern.DOTALL);
    private static final Pattern NUMBER = Pattern.compile("0|[1-9][0-9]{0,9}");
    private static final long LARGEST_NUMBER = 0xFFFF_FFFFL;

    /** The four types of identifier. */
    public enum Kind {
        NUMBER('i'),
        TEXT('s'),
        GUID('g'),
        OPAQUE('b');

        private final char letter;

        Kind(char letter) {
            this.letter = letter;
        }

        /** As in the text form: {@code i}, {@code s}, {@code g} or {@code b}. */
        public char letter() {
            return letter;
        }
    }

    /** A node of namespace 0. */
    public static NodeName standard(long number) {
        return new NodeName(STANDARD, Kind.NUMBER, Long.toString(number));
    }

    /** The node that an identifier such as {@code s=Oil.Water} names in a namespace; empty where it is none. */
    public static Optional<NodeName> of(String namespace, String id) {
        Matcher matcher = ID.matcher(id);
        if (!matcher.matches()) {
            return Optional.empty();
        }
        String value = matcher.group(2);
        return switch (matcher.group(1).charAt(0)) {
            case 'i' ->
                NUMBER.matcher(value).matches() && Long.parseLong(value) <= LARGEST_NUMBER
                        ? Optional.of(new NodeName(namespace, Kind.NUMBER, value))
                        : Optional.empty();
            case 's' -> Optional.of(new NodeName(namespace, Kind.TEXT, value));
            case 'g' -> guid(value).map(guid -> new NodeName(namespace, Kind.GUID, guid));
            default -> opaque(value).map(bytes -> new NodeName(namespace, Kind.OPAQUE, bytes));
        };
    }

    private static Optional<String> guid(String written) {
        try {
            String canonical = UUID.fromString(written).toString();
            return canonical.equals(written.toLowerCase(Locale.ROOT)) ? Optional.of(canonical) : Optional.empty();
        } catch (IllegalArgumentException noGuid) {
            return Optional.empty();
        }
    }

    private static Optional<String> opaque(String written) {
        try {
            return Optional.of(
                    Base64.getEncoder().encodeToString(Base64.getDecoder().decode(written)));
        } catch (IllegalArgumentException noBase64) {
            return Optional.empty();
        }
    }

    /** The identifier with its type: {@code s=Oil.Water}. */
    public String id() {
        return kind.letter() + "=" + identifier;
    }

    /** The text form of the standard: {@code nsu=urn:x;s=Oil.Water}, or {@code i=2258} in namespace 0. */
    @Override
    public String toString() {
        // Part 6, 5.3.1.11: a semicolon or per cent sign in the URI would end it.
        return namespace.equals(STANDARD)
                ? id()
                : "nsu=" + namespace.replace("%", "%25").replace(";", "%3B") + ";" + id();
    }
}
