"""The table of part kinds, by the name that circuit files use."""

from circuits.parts.alternator import Alternator
from circuits.parts.coded import CodedButton, CodedReader
from circuits.parts.controller import ReversingController
from circuits.parts.datalink import BusNode, Socket
from circuits.parts.gauge import Gauge, Sender, Stabiliser
from circuits.parts.lamps import Flasher, LampCluster
from circuits.parts.loads import Bell, Diode, Lamp, Resistor
from circuits.parts.motor import Motor
from circuits.parts.running import ResistorPack, RunningMotor
from circuits.parts.starter import Starter
from circuits.parts.supply import Battery, Fuse, Ground, Splice
from circuits.parts.switching import Relay, Switch
from circuits.parts.travel import LimitSwitch, TravelMotor
from circuits.parts.units import SleepingUnit
from circuits.parts.window import HeaterGrid
from circuits.parts.wiper import WiperMotor
from circuits.spec import Spec

KINDS: dict[str, type[Spec]] = {
    spec.kind: spec
    for spec in (
        Alternator,
        Battery,
        Bell,
        BusNode,
        CodedButton,
        CodedReader,
        Diode,
        Flasher,
        Fuse,
        Gauge,
        Ground,
        HeaterGrid,
        Lamp,
        LampCluster,
        LimitSwitch,
        Motor,
        Relay,
        Resistor,
        ResistorPack,
        ReversingController,
        RunningMotor,
        SleepingUnit,
        Socket,
        Sender,
        Splice,
        Stabiliser,
        Starter,
        Switch,
        TravelMotor,
        WiperMotor,
    )
}
