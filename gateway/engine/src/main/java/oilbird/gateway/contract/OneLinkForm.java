package oilbird.gateway.contract;

/** How one link stands: form {@code oilbird.one-link/1}. */
public record OneLinkForm(String form, StationForm station, String asOf, LinksForm.LinkForm link) {
    public static final String FORM = "oilbird.one-link/1";
}
