package oilbird.gateway.contract;

/**
 * That a device or an asset is in maintenance; stands in everything that the maintenance covers.
 *
 * @param of id of the device or asset.
 * @param name name for people.
 * @param permit the owner's permit or work order number.
 * @param until when a person is reminded of it.
 * @param timeOver true once that time has passed; the maintenance goes on until a person ends it.
 */
public record MaintenanceForm(
        String of,
        String name,
        ActorForm by,
        String reason,
        String permit,
        String since,
        String until,
        boolean timeOver) {}
