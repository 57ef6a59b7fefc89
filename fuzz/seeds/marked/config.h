#define PLATE_PIN   27           // dw: plate.pin
idle_ms = 10000                  ; dw: camera.clock in MHz
lamp(4, 200); // dw: status_lamp.pin #1
