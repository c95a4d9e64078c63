package oilbird.mapping.decode;

import oilbird.mapping.address.RawBlock;

/** Joins registers into one number of up to 64 bits. */
final class RegisterBits {
    private RegisterBits() {}

    static long of(RawBlock raw, int start, int registers, boolean lowWordFirst, boolean bytesSwapped) {
        long bits = 0;
        for (int i = 0; i < registers; i++) {
            int cell = raw.cell(lowWordFirst ? start + registers - 1 - i : start + i);
            bits = bits << 16 | (bytesSwapped ? (cell & 0xFF) << 8 | cell >> 8 : cell);
        }
        return bits;
    }
}
