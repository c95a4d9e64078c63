package oilbird.demoplant.device;

/**
 * One bit a monitor shows.
 *
 * @param word the word it sits in, our name: {@code status}, {@code alarm}, or {@code input} for the discrete inputs
 * @param number bit number, 0 the least significant; for {@code input} the zero-based PDU address
 * @param name our name for it, used by the commands; {@code word:number} where the maker gives it no meaning
 */
public record BitForm(String word, int number, String name) {
    /** The bit by place, such as {@code status:2}. */
    public String place() {
        return word + ":" + number;
    }
}
