package oilbird.mapping.decode;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import oilbird.mapping.address.NodeContent;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.map.BitUse;
import oilbird.mapping.map.StatusWord;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** One status word with everything computed that does not depend on the answer. */
final class WordDecoder {
    private final StatusWord word;
    private final long known;
    private final BitUse.Flag[] flags;
    private final FieldDecoder[] fields;

    private record FieldDecoder(BitUse.Field field, String[] indications) {}

    WordDecoder(StatusWord word) {
        this.word = word;
        this.known = word.known();
        List<BitUse.Flag> flagList = new ArrayList<>();
        List<FieldDecoder> fieldList = new ArrayList<>();
        for (BitUse use : word.uses()) {
            if (use instanceof BitUse.Flag flag) {
                flagList.add(flag);
            } else if (use instanceof BitUse.Field field) {
                Set<String> told = new LinkedHashSet<>();
                for (BitUse.FieldValue value : field.values()) {
                    if (value.indication() != null) {
                        told.add(value.indication());
                    }
                }
                fieldList.add(new FieldDecoder(field, told.toArray(String[]::new)));
            }
        }
        this.flags = flagList.toArray(BitUse.Flag[]::new);
        this.fields = fieldList.toArray(FieldDecoder[]::new);
    }

    private long bits(RawBlock raw) {
        int start = word.place().start();
        if (!word.place().table().bits()) {
            return RegisterBits.of(
                    raw,
                    start,
                    word.place().cells(),
                    word.order().lowWordFirst(),
                    word.order().bytesSwapped());
        }
        long bits = 0;
        for (int i = 0; i < word.width(); i++) {
            bits |= (raw.cell(start + i) & 1L) << i;
        }
        return bits;
    }

    /** Adds what the word says; nothing of it is added to the words where there are no bits. */
    void decode(
            String device,
            NodeValue value,
            Moment at,
            List<Reading> readings,
            List<Indication> indications,
            List<StatusWordValue> words) {
        List<Reading> bareReadings = new ArrayList<>();
        List<Indication> bareIndications = new ArrayList<>();
        QualityReason unusable = unusable(value);
        if (unusable == QualityReason.NONE) {
            decode(device, bits(value.content()), at, bareReadings, bareIndications, words);
        } else {
            for (BitUse.Flag flag : flags) {
                bareIndications.add(Indication.cannotBeTold(new SignalId(device, flag.indication()), unusable, at));
            }
            for (FieldDecoder decoder : fields) {
                bareReadings.add(
                        new Reading(new SignalId(device, decoder.field().name()), null, null, unusable, at));
                for (String name : decoder.indications()) {
                    bareIndications.add(Indication.cannotBeTold(new SignalId(device, name), unusable, at));
                }
            }
        }
        bareReadings.forEach(r -> readings.add(NodeQuality.of(value, r)));
        bareIndications.forEach(i -> indications.add(NodeQuality.of(value, i)));
    }

    private QualityReason unusable(NodeValue value) {
        QualityReason declared = NodeQuality.unusable(value);
        if (declared != QualityReason.NONE) {
            return declared;
        }
        NodeContent content = value.content();
        if (content instanceof NodeContent.None) {
            return QualityReason.NO_VALUE;
        }
        boolean fits = content instanceof NodeContent.Truth
                ? word.width() == 1
                : content instanceof NodeContent.Whole whole
                        && word.width() > 1
                        && (whole.width() <= word.width() || whole.bits() >>> word.width() == 0);
        return fits ? QualityReason.NONE : QualityReason.INVALID_ANSWER;
    }

    private static long bits(NodeContent content) {
        if (content instanceof NodeContent.Truth truth) {
            return truth.value() ? 1 : 0;
        }
        if (content instanceof NodeContent.Whole whole) {
            return whole.width() == 64 ? whole.bits() : whole.bits() & ((1L << whole.width()) - 1);
        }
        throw new IllegalStateException(content + " is no word");
    }

    void decode(
            String device,
            RawBlock raw,
            Moment at,
            List<Reading> readings,
            List<Indication> indications,
            List<StatusWordValue> words) {
        decode(device, bits(raw), at, readings, indications, words);
    }

    private void decode(
            String device,
            long bits,
            Moment at,
            List<Reading> readings,
            List<Indication> indications,
            List<StatusWordValue> words) {
        long undocumented = bits & ~known;
        for (BitUse.Flag flag : flags) {
            SignalId id = new SignalId(device, flag.indication());
            indications.add(
                    applies(flag.validWhen(), bits)
                            ? Indication.of(id, isSet(bits, flag.bit()) != flag.inverted(), at)
                            : Indication.cannotBeTold(id, QualityReason.DECLARED_INVALID, at));
        }
        for (FieldDecoder decoder : fields) {
            BitUse.Field field = decoder.field();
            long raised = bits & field.mask();
            long value = raised >>> field.low();
            BitUse.FieldValue meaning = meaning(field, value);
            SignalId id = new SignalId(device, field.name());
            QualityReason reason = QualityReason.NONE;
            if (!applies(field.validWhen(), bits)) {
                reason = QualityReason.DECLARED_INVALID;
                readings.add(new Reading(id, null, null, reason, at));
            } else if (meaning == null) {
                reason = QualityReason.OUTSIDE_RANGE;
                undocumented |= raised;
                readings.add(new Reading(id, null, Long.toUnsignedString(value), reason, at));
            } else {
                readings.add(new Reading(id, null, meaning.text(), reason, at));
            }
            for (String name : decoder.indications()) {
                SignalId told = new SignalId(device, name);
                indications.add(
                        reason == QualityReason.NONE && meaning != null
                                ? Indication.of(told, name.equals(meaning.indication()), at)
                                : Indication.cannotBeTold(told, reason, at));
            }
        }
        words.add(new StatusWordValue(new SignalId(device, word.name()), bits, word.width(), undocumented, at));
    }

    private static BitUse.@Nullable FieldValue meaning(BitUse.Field field, long value) {
        for (BitUse.FieldValue candidate : field.values()) {
            if (candidate.value() == value) {
                return candidate;
            }
        }
        return null;
    }

    private static boolean applies(BitUse.@Nullable Condition condition, long bits) {
        return condition == null || isSet(bits, condition.bit()) == condition.set();
    }

    private static boolean isSet(long bits, int bit) {
        return (bits >>> bit & 1) != 0;
    }
}
