package oilbird.gateway.contract;

/** One reading with the device that gives it: form {@code oilbird.one-reading/1}. */
public record OneReadingForm(
        String form,
        StationForm station,
        DeviceForm device,
        String asOf,
        boolean timeTrusted,
        ReadingsForm.ReadingForm reading) {
    public static final String FORM = "oilbird.one-reading/1";
}
