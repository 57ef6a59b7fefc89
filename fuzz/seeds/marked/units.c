x = 1.5e3; // dw: callers.distance in mm
y = 10_000; -- dw: plate.period in us
z = 20ms % dw: plate.period
