package oilbird.gateway.contract;

import java.util.List;

/** The pictures that there are of an asset now, in the order of showing them: form {@code oilbird.pictures/1}. */
public record PicturesForm(String form, String asset, List<PictureForm> pictures) {
    public static final String FORM = "oilbird.pictures/1";

    /**
     * @param picture name of the picture.
     * @param title what it shows, for people.
     * @param href where it is to be had as SVG, its description in words inside.
     */
    public record PictureForm(String picture, String title, String href) {}

    public PicturesForm {
        pictures = List.copyOf(pictures);
    }
}
