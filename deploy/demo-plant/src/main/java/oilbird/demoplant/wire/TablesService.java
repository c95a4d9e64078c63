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
import oilbird.demoplant.device.Monitor;

/**
 * The tables of one monitor, read-only.
 *
 * <p>A table the monitor lacks: exception 01. A quantity outside the protocol's limits: 03. An address past the end of
 * the table: 02.
 */
final class TablesService implements ModbusServices {
    private final Monitor monitor;

    TablesService(Monitor monitor) {
        this.monitor = monitor;
    }

    @Override
    public ReadDiscreteInputsResponse readDiscreteInputs(
            ModbusRequestContext context, int unitId, ReadDiscreteInputsRequest request)
            throws ModbusResponseException {
        var image = monitor.image();
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
        var image = monitor.image();
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
        var image = monitor.image();
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
