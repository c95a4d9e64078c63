package oilbird.demoplant.wire;

import com.digitalpetri.modbus.ExceptionCode;
import com.digitalpetri.modbus.FunctionCode;
import com.digitalpetri.modbus.exceptions.ModbusResponseException;
import com.digitalpetri.modbus.pdu.ReadDiscreteInputsRequest;
import com.digitalpetri.modbus.pdu.ReadDiscreteInputsResponse;
import com.digitalpetri.modbus.pdu.ReadHoldingRegistersRequest;
import com.digitalpetri.modbus.pdu.ReadHoldingRegistersResponse;
import com.digitalpetri.modbus.pdu.ReadInputRegistersRequest;
import com.digitalpetri.modbus.pdu.ReadInputRegistersResponse;
import com.digitalpetri.modbus.server.ModbusRequestContext;
import com.digitalpetri.modbus.server.ModbusServices;
import java.util.Map;
import oilbird.demoplant.device.DeviceImage;

/**
 * The tables of the monitors behind one port, read-only.
 *
 * <p>A table the monitor lacks: exception 01. A quantity outside the protocol's limits: 03. An address past the end of
 * the table: 02.
 */
final class TablesService implements ModbusServices {
    private final Map<Integer, ServedMonitor> byUnit;

    TablesService(Map<Integer, ServedMonitor> byUnit) {
        this.byUnit = byUnit;
    }

    private DeviceImage image(FunctionCode function, int unitId) throws ModbusResponseException {
        ServedMonitor served = byUnit.get(unitId);
        if (served == null) {
            throw new ModbusResponseException(function, ExceptionCode.GATEWAY_TARGET_DEVICE_FAILED_TO_RESPONSE);
        }
        return served.image();
    }

    @Override
    public ReadDiscreteInputsResponse readDiscreteInputs(
            ModbusRequestContext context, int unitId, ReadDiscreteInputsRequest request)
            throws ModbusResponseException {
        DeviceImage image = image(FunctionCode.READ_DISCRETE_INPUTS, unitId);
        requireTable(FunctionCode.READ_DISCRETE_INPUTS, image.discreteInputCount());
        ModbusServices.checkBitRange(request.getFunctionCode(), request.address(), request.quantity());
        requireWithin(
                FunctionCode.READ_DISCRETE_INPUTS, request.address() + request.quantity(), image.discreteInputCount());
        return new ReadDiscreteInputsResponse(image.discreteInputs(request.address(), request.quantity()));
    }

    @Override
    public ReadHoldingRegistersResponse readHoldingRegisters(
            ModbusRequestContext context, int unitId, ReadHoldingRegistersRequest request)
            throws ModbusResponseException {
        DeviceImage image = image(FunctionCode.READ_HOLDING_REGISTERS, unitId);
        requireTable(FunctionCode.READ_HOLDING_REGISTERS, image.holdingRegisterCount());
        ModbusServices.checkRegisterRange(request.getFunctionCode(), request.address(), request.quantity());
        requireWithin(
                FunctionCode.READ_HOLDING_REGISTERS,
                request.address() + request.quantity(),
                image.holdingRegisterCount());
        return new ReadHoldingRegistersResponse(image.holdingRegisters(request.address(), request.quantity()));
    }

    @Override
    public ReadInputRegistersResponse readInputRegisters(
            ModbusRequestContext context, int unitId, ReadInputRegistersRequest request)
            throws ModbusResponseException {
        DeviceImage image = image(FunctionCode.READ_INPUT_REGISTERS, unitId);
        requireTable(FunctionCode.READ_INPUT_REGISTERS, image.inputRegisterCount());
        ModbusServices.checkRegisterRange(request.getFunctionCode(), request.address(), request.quantity());
        requireWithin(
                FunctionCode.READ_INPUT_REGISTERS, request.address() + request.quantity(), image.inputRegisterCount());
        return new ReadInputRegistersResponse(image.inputRegisters(request.address(), request.quantity()));
    }

    private static void requireTable(FunctionCode function, int length) throws ModbusResponseException {
        if (length == 0) {
            throw new ModbusResponseException(function, ExceptionCode.ILLEGAL_FUNCTION);
        }
    }

    private static void requireWithin(FunctionCode function, int end, int length) throws ModbusResponseException {
        if (end > length) {
            throw new ModbusResponseException(function, ExceptionCode.ILLEGAL_DATA_ADDRESS);
        }
    }
}
