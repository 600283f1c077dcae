"""Which sentence tells each kind of event?

A sentence's fields are those of its event, each with how it is said: `{number:called}`, `{product:product}`,
`{amount:of number}` for an amount of the lot in another field, `{first:items last}` for serials. Events that
need more than that stand in `goods_sentences` and `work_sentences`.
"""

SENTENCES: dict[str, str] = {
    # genealogy
    "LotGrew": "{amount:of number} more went onto {number:called}{first:items last}.",
    "LotShrunk": "{amount:of number} that had gone onto {number:called} was taken back.",
    "AmountCorrected": "{number:called} is {amount:of number}, {how}{typed_by:typed}, not {was:of number}.",
    "ProductCorrected": "{number:called} is {product:product}, not what was recorded before.",
    "LotVoided": "{number:called} was taken back: it never was.",
    "LinksConfirmed": "QA confirmed what {child:called} was made of.",
    "AliasGiven": "{number:called} is also known as {value} ({scheme}).",
    "AliasTaken": "{number:called} is not known as {value} ({scheme}) after all.",
    # receiving
    "CertificateAdded": "The certificate of {lot:called} came: {name}.",
    "NumbersReserved": "Numbers {first} to {last} of letter {letter} were set aside for labels kept ready.",
    # labels kept ready
    "PadLabelAnswered": "Emergency label {pad:called} was stuck on {number:called} and means it from now on.",
    "PadLabelDestroyed": "Emergency label {pad:called} is not to be used any more: {reason:reason}.",
    "PadLabelFreed": "Emergency label {pad:called} is free again: what was recorded of it was taken back.",
    # stock
    "CarrierMoved": "{number:called} went from {was:called} to {spot:called}.",
    "TareTakenBack": "What {number:called} was said to weigh empty was taken back.",
    # runs
    "RunOpened": "{process:process} began at {station:called}: run {run:called}, {shift}.",
    "RunClosed": "Run {run:called} was closed.",
    "RunBalanced": "Run {run:called} was added up: what went in against what came out of it.",
    "MonthClosed": "{month} was closed, as told up to event {events}.",
    "RunReopened": "Run {run:called} was opened again.",
    "RunVoided": "Run {run:called} was taken back: it never was.",
    "RunPersonCorrected": "{person:called} worked run {run:called}, not {was:called}.",
    "InputLoaded": "{lot:called} was loaded in run {run:called}: {own:of lot}.",
    "InputUnloaded": "Load {load} of run {run:called} came off with something on it, {how}{typed_by:typed}.",
    "LoadCorrected": "Load {load} of run {run:called} was {lot:called}: {own:of lot}.",
    "LoadRecounted": "Load {load} of run {run:called} was {own:of lot} of {lot:called}, not {was:of lot}.",
    "RemainderCorrected": "{own:of lot} was left of load {load} of run {run:called}, {how}{typed_by:typed}, "
    "not {was:of lot}.",
    "LoadTimed": "Load {load} of run {run:called} was put on at {at:time}, not at {was:time}.",
    "LoadTakenBack": "Load {load} of run {run:called} was taken back: it never was.",
    "UnloadTakenBack": "Load {load} of run {run:called} was not taken off after all.",
    "OutputCorrected": "Output {seq} of run {run:called} was made from {began:time} to {ended:time}.",
    "OutputTakenBack": "Output {seq} of run {run:called} was taken back: it never was.",
    "ContentJoined": "{taken:of parent} of {parent:called} was still there and went into {child:called}.",
    "JoinTakenBack": "What was left of {parent:called} did not go into {child:called} after all.",
    "Scrapped": "Scrap of load {load} in run {run:called}: {reason:reason}, {how}{typed_by:typed}.",
    "BinWeighingTakenBack": "What was weighed in {bin:called} was taken back.",
    "ScrapTakenBack": "Scrap of run {run:called} was taken back.",
    "MarkTakenBack": "A mark in run {run:called} was taken back.",
    "BlockPrinted": "Labels of {lot:called}{first:items last} were printed before the items were made.",
    "BlockTakenBack": "What was recorded of a block of labels of {lot:called} was taken back.",
    "LabelsReturned": "Labels of {lot:called}{first:items last} were left over and destroyed.",
    # holds and questions
    "HoldRootAdded": "Hold {hold} stops {lot:called}{first:items last} and all that is made of it.",
    "HoldEnded": "QA ended hold {hold}, which catches nothing more: {reason:reason}.",
    "HoldReleased": "QA let {lot:called}{first:items last} through hold {hold}: {reason:reason}.",
    "Questioned": "{subject:called} is in question: {reason}",
    "QuestionSettled": "A question about {subject:called} was settled: {words}",
    "QuestionReopened": "What settled a question about {subject:called} was taken back.",
    # counts
    "CountOpened": "A count of {place:called} began.",
    "CountTakenBack": "A count of {place:called} was taken back: it was begun by mistake.",
    "SightingTakenBack": "That {number:called} was seen at {place:called} was taken back.",
    "CountReopened": "The count of {place:called} goes on: it was not finished.",
    # checks
    "CheckTakenBack": "A check on {number:called} was taken back: it never was.",
    "FactorSet": "{product:product} goes by a factor on theory, fitted from {rolls} weighed rolls.",
    "FactorWithdrawn": "{product:product} goes by theory alone again: {reason}.",
    "FigureConfirmed": "{table}, {row}, was confirmed against {against}: {stood}.",
    "FigureWithdrawn": "{table}, {row}, counts as confirmed or overridden no more: {reason}.",
    # labels
    "LabelAsked": "Copy {copy} of a label of {number:called}{first:items last} was wanted: {reason:reason}.",
    "LabelRouted": "The label of {number:called}{first:items last} was printed on somebody's word.",
    "LabelDropped": "The label of {number:called}{first:items last} was left out: {reason}",
    "PrinterSet": "Printer {name} was set.",
    "StationPrinterSet": "{station:called} got another printer.",
    "CustomerLabelAsked": "A label of {number:called}{first:items last} was wanted for {customer:party}.",
    "LabelFailed": "The label of {number:called}{first:items last} did not print: {reason}",
    # dispatch
    "ShipmentOpened": "Shipment {shipment:called} to {customer:party} was opened.",
    "ShipmentLeft": "Shipment {shipment:called} left.",
    "ShipmentReopened": "Shipment {shipment:called} had not left after all.",
    "ShipmentCancelled": "Shipment {shipment:called} was cancelled.",
    "ShipmentCorrected": "Shipment {shipment:called} went to {customer:party}, not to {was:party}.",
    # complaints
    "CaseClosed": "Complaint {case:called} was answered: {answer}",
    # plant, people, devices
    "PlantAdopted": "The plant was described anew.",
    "ThingNumbered": "{number:called} got its number.",
    "PartyAdded": "{code:party} was added as a {kind}.",
    "PartyChanged": "What is known of {code:party} was changed.",
    "PersonLeft": "{number:called} works here no more.",
    "BadgeIssued": "{number:called} got a badge.",
    "PinSet": "{number:called} got a new PIN.",
    "DeviceAllowed": "A device was let in at {station:called}.",
    "DeviceRevoked": "A device was shut out.",
    # the ledger
    "LedgerRestored": "The record was restored from a backup that ended at event {count}.",
}
